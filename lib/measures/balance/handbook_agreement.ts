/** The handbook's equations of balance, and what the two other models say of each. */
import { once } from "../../base/memo.ts";
import ratiosText from "../../../data/handbook_ratios.csv" with { type: "text" };
import { type Instrument, instrumentById } from "../../instruments/catalogue.ts";
import { handbookWeight } from "../../instruments/sound/handbook_weight.ts";
import { soundPowerDb } from "../../instruments/sound/sound_power.ts";
import { aNumber, oneOf, readTable, someText, sourced } from "../../instruments/data_table.ts";
import type { Decibels, Sones, SoundingPitch } from "../../base/units.ts";
import { BALANCE_CONSTANTS } from "./balance_options.ts";
import { earGrid } from "./ear_grid.ts";
import { contentOf, sonesAlone } from "./heard.ts";
import { inAnyHallDb } from "./listening_place.ts";
import { soundOf } from "./note_sound.ts";

/** One equation of the handbook, and what each model makes of it. */
export interface HandbookAgreementRow {
  /** Dynamic both play. */
  readonly dynamic: "p" | "f";
  /** One side. */
  readonly instrumentA: string;
  /** Its players. */
  readonly playersA: number;
  /** The other side, which the handbook holds to be equally strong. */
  readonly instrumentB: string;
  /** Its players. */
  readonly playersB: number;
  /** Sounding pitch of one side: of both, where their ranges meet. */
  readonly soundingPitchA: SoundingPitch;
  /** Sounding pitch of the other. */
  readonly soundingPitchB: SoundingPitch;
  /** First side over the second by the handbook's weights, in dB. */
  readonly handbookDb: Decibels;
  /** The same by sound power. */
  readonly powerDb: Decibels;
  /** Loudness of the first side alone, in a hall. */
  readonly sonesA: Sones;
  /** Loudness of the second side alone. */
  readonly sonesB: Sones;
  /** Loudness of the first over that of the second; 1 where they are equally loud. */
  readonly loudnessRatio: number;
  /** Power agrees within 3 dB. */
  readonly powerAgrees: boolean;
  /** Loudness agrees within a quarter, what 3 dB are worth: 2^0.3. */
  readonly hearingAgrees: boolean;
  /** Where the equation is printed. */
  readonly source: string;
}

const equations = once(() =>
  readTable(ratiosText, {
    file: "data/handbook_ratios.csv",
    columns: {
      dynamic: oneOf(["p", "f"]),
      instrumentA: someText,
      playersA: aNumber,
      instrumentB: someText,
      playersB: aNumber,
      ...sourced,
    },
  })
);

/** Within this two sides count as equal by power. Model assumption: less than what a doubling of the players gives. */
const EQUAL_DB = 3.01;
/** The same as a ratio of loudness, which doubles in 10 phons. */
const EQUAL_RATIO = 2 ** (EQUAL_DB / 10);
const DYNAMICS = { p: 3, f: 6 } as const;

/**
 * The equations of Rimsky-Korsakov (one trumpet = two horns = four wood-winds at forte, all winds alike at piano, a
 * string section = two wood-winds at forte and one at piano) beside sound power and loudness at the same dynamic.
 *
 * The handbook weighs what balances in an orchestra, by experience; power and loudness compare the bare sounds, by
 * levels that are recalled. They disagree most on the horn. No model is made to fit another. Both sides play the
 * middle of the range they share, or each of its own.
 *
 * @returns a row per printed equation
 *
 * Source: Rimsky-Korsakov, Principles of Orchestration (tr. Agate 1922), vol. I ch. I, p. 33.
 *
 * @example
 * ```ts
 * import { handbookAgreement } from "ripieno/measures";
 * import { assert } from "@std/assert";
 * const rows = handbookAgreement();
 * assert(rows.some((row) => row.powerAgrees) && rows.some((row) => !row.powerAgrees));
 * ```
 */
export function handbookAgreement(): readonly HandbookAgreementRow[] {
  return equations().map((row): HandbookAgreementRow => {
    const [a, b] = [instrumentById(row.instrumentA), instrumentById(row.instrumentB)];
    const dynamic = DYNAMICS[row.dynamic];
    const [soundingPitchA, soundingPitchB] = pitchesOf(a, b);
    const sides = [
      { instrument: a, players: row.playersA, soundingPitch: soundingPitchA },
      { instrument: b, players: row.playersB, soundingPitch: soundingPitchB },
    ] as const;
    const [weightA, weightB] = sides.map((s) =>
      handbookWeight(s.instrument, dynamic, { players: s.players })
    ) as [number, number];
    const [powerA, powerB] = sides.map((s) =>
      soundPowerDb(s.instrument, dynamic, { players: s.players, soundingPitch: s.soundingPitch })
    ) as [number, number];
    const [sonesA, sonesB] = sides.map((s) => sonesOf(s, dynamic)) as [number, number];
    return {
      dynamic: row.dynamic,
      instrumentA: a.id,
      playersA: row.playersA,
      instrumentB: b.id,
      playersB: row.playersB,
      soundingPitchA,
      soundingPitchB,
      handbookDb: 10 * Math.log10(weightA / weightB),
      powerDb: powerA - powerB,
      sonesA,
      sonesB,
      loudnessRatio: sonesA / sonesB,
      powerAgrees: Math.abs(powerA - powerB) <= EQUAL_DB,
      hearingAgrees: Math.abs(Math.log(sonesA / sonesB)) <= Math.log(EQUAL_RATIO),
      source: row.source,
    };
  });
}

/** The middle of the range two instruments are both at ease in, or of each one's own where there is none. */
function pitchesOf(a: Instrument, b: Instrument): readonly [SoundingPitch, SoundingPitch] {
  const middle = (low: number, high: number) => Math.round((low + high) / 2);
  const [one, other] = [a.rangeComfortable, b.rangeComfortable];
  const [low, high] = [Math.max(one.low, other.low), Math.min(one.high, other.high)];
  return low <= high
    ? [middle(low, high), middle(low, high)]
    : [middle(one.low, one.high), middle(other.low, other.high)];
}

function sonesOf(
  { instrument, ...side }: {
    readonly instrument: Instrument;
    readonly players: number;
    readonly soundingPitch: number;
  },
  dynamic: number,
): Sones {
  const { hallStrengthDb, gridStepCam } = BALANCE_CONSTANTS;
  const toListenerDb = inAnyHallDb(hallStrengthDb.value);
  const sound = soundOf(instrument, { ...side, dynamic, technique: "ordinario", toListenerDb });
  const grid = earGrid(gridStepCam.value, "full");
  return sonesAlone(grid, contentOf([sound], [1]));
}
