/** Slashed notes written out. */
import { A_NOTE, A_NUMBER, checkArgument } from "../base/arguments.ts";
import type { Ticks } from "../base/units.ts";
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
  if (note.tremoloSlashes === 0 || note.durationTicks <= 0) return 1;
  return Math.max(1, Math.round(note.durationTicks / strokeTicks(note, ticksPerQuarter)));
}
