/** What stands against hearing a part as what it is wished for, known before a note is written. */
import type { HarmonyReading } from "../../harmony/harmony_results.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Score } from "../../score/model.ts";
import { barIndexOf, endOfBar, fullBarTicks } from "../../score/time.ts";
import { figureById, figuresFor } from "../../texture/figures.ts";
import type { Texture } from "../../texture/model.ts";
import type { Role } from "../../texture/roles.ts";
import { registerFor } from "../realise/register_for.ts";
import { leadLine } from "./lead_line.ts";
import type { PlacedWish } from "./place_wishes.ts";
import { seatsAt } from "./seats_at.ts";
import {
  type AmongWishes,
  barIndexesOf,
  isRewritten,
  leadsBeside,
  lowestBeside,
  type PartPitch,
  pitchesIn,
} from "./stays.ts";
import { figureNameOf, type Wish } from "./wish.ts";

/** Semitones a part needs between its register and a lead to lie below it. Model assumption. */
const ROOM_BELOW = 7;

/** Semitones by which what lies below a part must lie lower to be below it throughout. Model assumption. */
const CLEAR_OF_BASS = 4;

/** Semitones above its lowest note within which a part has its bass, and a walking one. */
const BASS_WITHIN = { usual: 12, walking: 7 } as const;

/** What is a bass by its place where nothing lies lower. */
const MAY_LIE_LOWEST: readonly Role[] = ["pad", "pulse", "trill"];

/** What is taken for the lead where it lies above it: short strokes, trills and repeated notes are not. */
const MUST_LIE_BELOW: readonly Role[] = ["pad", "figuration", "counterline", "run"];

/** What goes up and down around where a part lies best. */
const AROUND_HOME: readonly Role[] = ["figuration", "run"];

/** Fewest notes that make a scale into a bar. */
const LEAST_SCALE = 4;

/** What goes on as it is where nobody leads. */
const NEEDS_NO_LEAD: readonly Role[] = ["punctuation"];

/** A bar in which something stands against hearing a part as it was wished, with what does. */
export interface BarWithReason {
  readonly barIndex: number;
  readonly why: string;
}

/** A wish among all, with one of its parts and the chords it is written on. */
export interface ForeseenInput extends AmongWishes {
  readonly part: number;
  readonly harmony: Pick<HarmonyReading, "spans">;
}

/** A bar of a wish with what goes on beside the part. */
interface BarBeside {
  readonly barIndex: number;
  readonly register: ReturnType<typeof registerFor>;
  /** Those of the parts that lead which sound, with their pitches. */
  readonly led: readonly PartPitch[];
  /** Whether anybody leads beside the part. */
  readonly isLed: boolean;
  /** Whether the notes of one that leads are melody. */
  readonly hasTune: boolean;
  /** What lies lowest among the parts that keep their notes. */
  readonly under: PartPitch | undefined;
  /** Notes of the tune that begin. */
  readonly tuneNotes: number;
}

/**
 * The bars in which a part cannot be heard as a wish has it, from what goes on beside it alone; none for wishes that keep the
 * notes.
 *
 * @returns bars in order, each with a reason such as `nobody else leads`
 */
export function foreseenFor(
  score: Score,
  texture: Texture,
  { part, harmony, ...among }: ForeseenInput,
): readonly BarWithReason[] {
  const { placed: { wish, bars }, all } = among;
  const { role } = wish;
  if (role === undefined || role === "rest" || role === "lead") return [];
  const instrument = instrumentById(seatsAt(score, bars.startTicks)[part]!.instrument);
  const register = registerFor(instrument, role, wish.octave ?? 0);
  const leads = leadsBeside(score, texture, among);
  const pitches = pitchesIn(score, among.placed);
  const lowest = lowestBeside(score, among);
  const tune = leadLine(score, texture, bars);
  const nameOf = (p: number) => score.parts[p]!.name;
  const whyIn = (bar: BarBeside): string | undefined => {
    if (role === "bass") {
      return whyNoBass(score, texture, { bar, walks: figureNameOf(wish) === "walking bass" });
    }
    if (role === "run" && scaleNotes(score, wish, bar.barIndex) < LEAST_SCALE) {
      return `half a bar has no room for ${LEAST_SCALE} notes of the scale`;
    }
    if (!bar.isLed && !NEEDS_NO_LEAD.includes(role)) return "nobody else leads";
    if (instrument.unpitched) return undefined;
    if (role === "counterline" && !bar.hasTune) return "what leads is no tune there";
    const { low, high, home = (low + high) / 2 } = register;
    const ceiling = AROUND_HOME.includes(role) ? Math.max(home, low + ROOM_BELOW) : low + ROOM_BELOW;
    if (
      MUST_LIE_BELOW.includes(role) && bar.led.length > 0 && bar.led.every(({ pitch }) => pitch < ceiling)
    ) return `it cannot lie below the lead, ${nameOf(bar.led[0]!.part)}`;
    const isLowest = !givesBass(all, bar.barIndex) &&
      (bar.under === undefined || bar.under.pitch > home - CLEAR_OF_BASS);
    if (MAY_LIE_LOWEST.includes(role) && isLowest) return "nothing lies below it";
    const changes = chordsIn(score, harmony, bar.barIndex);
    return role === "pad" && changes > 1 && bar.tuneNotes <= changes
      ? "the chord changes as often as the lead moves"
      : undefined;
  };
  return barIndexesOf(among.placed).flatMap((barIndex, i): readonly BarWithReason[] => {
    const why = whyIn({
      barIndex,
      register,
      led: pitches[i]!.filter((p) => leads[i]!.includes(p.part)),
      isLed: leads[i]!.length > 0,
      hasTune: leads[i]!.some((p) =>
        texture.cells[barIndex * score.parts.length + p]!.does === "melody" || isRewritten(all, p, barIndex)
      ),
      under: lowest[i],
      tuneNotes: tune.filter((n) => barIndexOf(score, n.onsetTicks) === barIndex).length,
    });
    return why === undefined ? [] : [{ barIndex, why }];
  });
}

/** Why a part gives no bass in a bar: a lead lies lowest, or what a walking line would have to lie below. */
function whyNoBass(
  score: Score,
  { cells }: Texture,
  { bar: { barIndex, register: { low }, under }, walks }: {
    readonly bar: BarBeside;
    readonly walks: boolean;
  },
): string | undefined {
  if (under === undefined) return undefined;
  const { name } = score.parts[under.part]!;
  const leads = cells[barIndex * score.parts.length + under.part]!.role === "lead";
  if (leads && under.pitch < low + BASS_WITHIN.usual) return `the lead lies below it, in ${name}`;
  return walks && under.pitch < low + BASS_WITHIN.walking ? `the bass lies below it, in ${name}` : undefined;
}

/** Notes of a scale into a bar, which fills its second half; of unbroken ones no end. */
function scaleNotes(score: Score, wish: Wish, barIndex: number): number {
  const figure = figureById(figureNameOf(wish) ?? figuresFor("run")[0]!.id);
  if (figure === undefined || figure.cellQuarters > 0) return Infinity;
  return figure.strokes.length * fullBarTicks(score.bars[barIndex]!, score.ticksPerQuarter) /
    (2 * score.ticksPerQuarter);
}

/** Chords that begin in a bar. */
function chordsIn(score: Score, { spans }: Pick<HarmonyReading, "spans">, barIndex: number): number {
  const [from, to] = [score.bars[barIndex]!.startTicks, endOfBar(score, barIndex)];
  return spans.filter((s) => s.startTicks >= from && s.startTicks < to).length;
}

/** Whether a wish gives somebody the bass in a bar. */
function givesBass(all: readonly PlacedWish[], barIndex: number): boolean {
  return all.some(({ wish, bars }) =>
    wish.role === "bass" && barIndex >= bars.fromBarIndex && barIndex <= bars.toBarIndex
  );
}
