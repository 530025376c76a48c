/** Slashed notes written out, and whether they are measured. */
import { A_NOTE, A_NUMBER, checkArgument } from "../base/arguments.ts";
import type { Seconds, Ticks } from "../base/units.ts";
import type { Note } from "./model.ts";

/**
 * Length of one stroke of a slashed note: each slash halves the value, from the eighth for notes of a quarter
 * and more, from the note's own value for shorter ones. A note without slashes is one stroke.
 *
 * @param note the note
 * @param ticksPerQuarter grid of its score
 * @returns ticks; not a whole number where the grid of the score is too coarse for the strokes
 *
 * @example
 * ```ts
 * import { makeNote, strokeTicks } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const half = makeNote({ part: 0, onsetTicks: 0, durationTicks: 960, soundingPitch: 60, tremoloSlashes: 2 });
 * assertEquals(strokeTicks(half, 480), 120);
 * ```
 */
export function strokeTicks(note: Note, ticksPerQuarter: Ticks): Ticks {
  checkArgument("count the strokes", ticksPerQuarter, A_NUMBER, "ticks");
  checkArgument("count the strokes", note, A_NOTE);
  if (note.tremoloSlashes === 0) return note.durationTicks;
  const base = note.durationTicks >= ticksPerQuarter ? ticksPerQuarter : note.durationTicks;
  return base / 2 ** note.tremoloSlashes;
}

/**
 * How many strokes a note is: 1, or what its slashes ask for.
 *
 * @param note the note
 * @param ticksPerQuarter grid of its score
 * @returns whole number, at least 1
 *
 * @example
 * ```ts
 * import { makeNote, strokeCount } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const half = makeNote({ part: 0, onsetTicks: 0, durationTicks: 960, soundingPitch: 60, tremoloSlashes: 2 });
 * assertEquals(strokeCount(half, 480), 8);
 * ```
 */
export function strokeCount(note: Note, ticksPerQuarter: Ticks): number {
  checkArgument("count the strokes", ticksPerQuarter, A_NUMBER, "ticks");
  checkArgument("count the strokes", note, A_NOTE);
  return strokesIn(note, ticksPerQuarter);
}

/** {@linkcode strokeCount} for whoever counts the notes of a whole score. */
export function strokesIn(note: Note, ticksPerQuarter: Ticks): number {
  if (note.tremoloSlashes === 0 || note.durationTicks <= 0) return 1;
  return Math.max(1, Math.round(note.durationTicks / strokeTicks(note, ticksPerQuarter)));
}

/** Strokes a second that the slashes of a note ask for; 0 without slashes. */
export function strokesPerSecond(
  note: Note,
  { ticksPerQuarter, clock }: { readonly ticksPerQuarter: Ticks; readonly clock: (ticks: Ticks) => Seconds },
): number {
  if (note.tremoloSlashes === 0) return 0;
  return 1 / (clock(note.onsetTicks + strokeTicks(note, ticksPerQuarter)) - clock(note.onsetTicks));
}

/** From how many strokes a second slashes are taken for an unmeasured tremolo where the source does not say. */
export const TREMOLO_CONSTANTS = {
  tremoloFromPerSecond: {
    value: 13,
    unit: "strokes per second",
    source:
      "counted in 29 open movements of 1720 to 1900: at 11 to 12 a second the same scores write the same strokes out, so that slashes are counted there; 13 to 15 parts them",
    meaning: "rate from which one or two slashes are an unmeasured tremolo, where the source does not say",
  },
  threeSlashesFromPerSecond: {
    value: 9,
    unit: "strokes per second",
    source:
      "model assumption: in the same movements three slashes at 9 to 13 a second may be either; today's commonest sign of an unmeasured tremolo is three strokes",
    meaning: "the same for three slashes and more",
  },
} as const;

/** Rates from which slashes are an unmeasured tremolo. */
export type TremoloRates = Readonly<Record<keyof typeof TREMOLO_CONSTANTS, number>>;

/** The rates where nobody gives others. */
export const TREMOLO_RATES: TremoloRates = {
  tremoloFromPerSecond: TREMOLO_CONSTANTS.tremoloFromPerSecond.value,
  threeSlashesFromPerSecond: TREMOLO_CONSTANTS.threeSlashesFromPerSecond.value,
};

/** Slashes of today's commonest unmeasured tremolo. */
export const TREMOLO_SLASHES = 3;

/**
 * Whether slashes are an unmeasured tremolo: what the source says, or else what the rate of the strokes they
 * ask for says.
 */
export function isUnmeasuredTremolo(
  note: Pick<Note, "tremoloSlashes" | "tremolo">,
  strokesPerSecond: number,
  rates: TremoloRates = TREMOLO_RATES,
): boolean {
  if (note.tremoloSlashes === 0) return false;
  if (note.tremolo !== undefined) return note.tremolo === "unmeasured";
  const many = note.tremoloSlashes >= TREMOLO_SLASHES;
  return strokesPerSecond >= (many ? rates.threeSlashesFromPerSecond : rates.tremoloFromPerSecond);
}

/** Strokes of 512ths are the shortest that are printed. */
const MOST_SLASHES = 7;

/**
 * How many slashes an unmeasured tremolo needs so that nobody takes its strokes for counted ones: three, and
 * one more each time the tempo is half as quick.
 */
export function tremoloSlashesFor(
  note: Note,
  { ticksPerQuarter, clock }: { readonly ticksPerQuarter: Ticks; readonly clock: (ticks: Ticks) => Seconds },
): number {
  const { onsetTicks, durationTicks } = note;
  const secondsPerTick = (clock(onsetTicks + durationTicks) - clock(onsetTicks)) / Math.max(1, durationTicks);
  const perSecond = (tremoloSlashes: number) =>
    1 / (strokeTicks({ ...note, tremoloSlashes }, ticksPerQuarter) * secondsPerTick);
  let slashes = TREMOLO_SLASHES;
  while (slashes < MOST_SLASHES && perSecond(slashes) < TREMOLO_RATES.threeSlashesFromPerSecond) {
    slashes++;
  }
  return slashes;
}
