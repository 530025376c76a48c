/** How long a breath lasts. From `data/breath.csv`. */
import { A_DYNAMIC, A_NUMBER, AN_INSTRUMENT, checkArgument, checkOptions } from "../base/arguments.ts";
import breathText from "../../data/breath.csv" with { type: "text" };
import type { Seconds, SoundingPitch } from "../base/units.ts";
import { memo } from "../base/memo.ts";
import type { Instrument } from "./catalogue.ts";
import { aNumber, anyText, numberOrNothing, oneOf, pitchOrNothing } from "./data_table.ts";
import { figureTable } from "./figure_table.ts";
import { registerOf } from "./registers.ts";

/** The dynamics a flow is known at, on the scale 1 ppp to 8 fff. */
const DYNAMICS = { pp: 2, p: 3, f: 6, ff: 7 } as const;
type Mark = keyof typeof DYNAMICS;
const MARKS = Object.keys(DYNAMICS) as readonly Mark[];

/** One place on a curve, drawn straight between its points and held beyond them. */
type Point = readonly [at: number, value: number];

/** Flow at one pitch. */
interface FlowAtPitch {
  /** Flow over the dynamic. */
  readonly byDynamic: readonly Point[];
  /** How many times as much the register takes. */
  readonly registerFactor: number;
}

/** What is known of one instrument's breath. */
interface Breath {
  /** Flow at a pitch, by default that at which the instrument counts. */
  readonly flowAt: (soundingPitch: SoundingPitch | undefined) => FlowAtPitch;
  readonly usableLitres: number;
  /** How long a player holds the breath at most, whatever the flow. */
  readonly longestSeconds: number;
}

const breathOf = figureTable("data/breath.csv", breathText, {
  dynamic: oneOf(MARKS),
  atSounding: pitchOrNothing,
  flowLitresPerSecond: aNumber,
  usableBreathLitres: aNumber,
  longestSeconds: numberOrNothing,
  note: anyText,
}).made((rows, instrument): Breath | undefined => {
  const first = rows[0];
  if (first === undefined || !["woodwind", "brass", "voice"].includes(instrument.family)) return undefined;
  const flows = MARKS.map((mark) => ({
    dynamic: DYNAMICS[mark],
    byPitch: rows.filter((row) => row.dynamic === mark)
      .map((row): Point => [row.atSounding ?? 0, row.flowLitresPerSecond])
      .sort((a, b) => a[0] - b[0]),
  })).filter((each) => each.byPitch.length > 0);
  const { low, high } = instrument.rangeComfortable;
  // Where the flow goes by pitch alone, registers add nothing.
  const factorAt = (pitch: SoundingPitch | undefined) =>
    first.atSounding !== null || pitch === undefined
      ? 1
      : registerOf(instrument, pitch).register?.airFactor ?? 1;
  const pitches = memo<FlowAtPitch, SoundingPitch | undefined>(PITCHES_KEPT);
  return {
    flowAt: (soundingPitch) =>
      pitches(soundingPitch, () => {
        const pitch = soundingPitch ?? Math.floor((low + high) / 2);
        return {
          byDynamic: flows.map((each): Point => [each.dynamic, onCurve(each.byPitch, pitch)]),
          registerFactor: factorAt(soundingPitch),
        };
      }),
    usableLitres: first.usableBreathLitres,
    longestSeconds: first.longestSeconds ?? Infinity,
  };
});

/** No instrument has more. */
const PITCHES_KEPT = 256;

const OPTIONS = { soundingPitch: A_NUMBER };

/**
 * Air a player uses on a held note. Known at p and f, of the brass at pp and ff too; between them on a log scale,
 * beyond them held.
 *
 * Brass of whatever size take the same air for the same pitch at the same loudness (A. Jacobs, tests of 1959-60
 * with four orchestral players, in B. Frederiksen, Song and Wind): one curve over pitch, through the planning
 * figures of trumpet, horn, trombones and tuba, from 0.117 L/s of a tuba as soft as it goes to over 2 L/s at full
 * volume. Those ends are measured on one player, of whom the pitch is not told; the rest is common practice, so
 * trust it for orders of size. The other winds lie inside the span of 0.1 to 1 L/s that UNSW music acoustics gives,
 * in an order that is common practice; low flute notes take more, by the register's share (model assumption).
 *
 * @param instrument the instrument
 * @param dynamic loudness, 1 ppp to 8 fff
 * @param options sounding pitch; without it brass count in the middle of their comfortable range, other winds in
 *   their best register
 * @returns litres per second, or null for what needs no breath
 *
 * @example A tuba's top and a trumpet's bottom take the same.
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { airFlow } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const [tuba, trumpet] = [instrumentById("tuba"), instrumentById("trumpet in C")];
 * assertEquals(airFlow(tuba, 6, { soundingPitch: 59 }), airFlow(trumpet, 6, { soundingPitch: 59 }));
 * assertEquals(airFlow(tuba, 2), 0.117);
 * ```
 */
export function airFlow(
  instrument: Instrument,
  dynamic: number,
  options: { readonly soundingPitch?: SoundingPitch } = {},
): number | null {
  checkArgument("look up the air flow", dynamic, A_DYNAMIC);
  checkArgument("look up an instrument", instrument, AN_INSTRUMENT);
  checkOptions("look up the air flow", options, OPTIONS);
  const breath = breathOf(instrument);
  return breath === undefined ? null : flowOf(breath, dynamic, options.soundingPitch);
}

/**
 * Seconds that one breath lasts on a held note: the usable breath over the air flow ({@linkcode airFlow}), and no
 * longer than a player holds the breath where stale air is what ends it, as on the oboe (Bouhuys 1964; 45 seconds
 * are a model assumption, no figure is published). Plan phrases at 60 to 70 % of it: it is a limit of the single
 * note, not of the evening.
 *
 * The usable breath is 4 litres, a trained adult's: flautists use 72 to 83 % of their vital capacity (Cossette and
 * others 2000), trained players 75 or 80 %, most less than half (Jacobs). A small or young player has half of it.
 *
 * @param instrument the instrument
 * @param dynamic loudness, 1 ppp to 8 fff
 * @param options sounding pitch, as {@linkcode airFlow} has it
 * @returns seconds, or null for what needs no breath
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { breathSeconds } from "ripieno/instruments";
 * import { assert, assertEquals } from "@std/assert";
 * assert(breathSeconds(instrumentById("oboe"), 3)! > 2 * breathSeconds(instrumentById("flute"), 3)!);
 * assertEquals(breathSeconds(instrumentById("oboe"), 3), 45);
 * assertEquals(breathSeconds(instrumentById("violin"), 5), null);
 * ```
 */
export function breathSeconds(
  instrument: Instrument,
  dynamic: number,
  options: { readonly soundingPitch?: SoundingPitch } = {},
): Seconds | null {
  checkArgument("look up the breath", dynamic, A_DYNAMIC);
  checkArgument("look up an instrument", instrument, AN_INSTRUMENT);
  checkOptions("look up the breath", options, OPTIONS);
  return breathReader(instrument)?.(dynamic, options.soundingPitch) ?? null;
}

/** {@linkcode breathSeconds} of one instrument, for whoever asks for many notes; undefined for what needs no breath. */
export function breathReader(
  instrument: Instrument,
): ((dynamic: number, soundingPitch?: SoundingPitch) => Seconds) | undefined {
  const breath = breathOf(instrument);
  if (breath === undefined) return undefined;
  return (dynamic, soundingPitch) => {
    if (Number.isNaN(soundingPitch)) checkOptions("look up the breath", { soundingPitch }, OPTIONS);
    return Math.min(breath.longestSeconds, breath.usableLitres / flowOf(breath, dynamic, soundingPitch));
  };
}

function flowOf({ flowAt }: Breath, dynamic: number, soundingPitch: SoundingPitch | undefined): number {
  const { byDynamic, registerFactor } = flowAt(soundingPitch);
  return onCurve(byDynamic, dynamic) * registerFactor;
}

/** Value at a place of a curve, straight on a log scale between its points and held beyond them. */
function onCurve(points: readonly Point[], at: number): number {
  const after = points.findIndex(([place]) => place >= at);
  if (after <= 0) return points.at(after)![1];
  const [[from, a], [to, b]] = [points[after - 1]!, points[after]!];
  return to === at ? b : a * (b / a) ** ((at - from) / (to - from));
}
