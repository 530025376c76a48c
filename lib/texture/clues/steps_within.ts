/** How a line goes from note to note: how often it stays on the pitch, and how often it leaps. */
import type { Note } from "../../score/model.ts";

/** Semitones from which a step is a leap: a third. */
const LEAPS_FROM_SEMITONES = 3;

/** Steps from note to note: all of them, those that stay on the pitch, and those of a third or more. */
interface StepsWithin {
  readonly all: number;
  readonly stays: number;
  readonly leaps: number;
}

/**
 * Counts the steps of a line.
 *
 * @param line notes of one part, one at a time, in order
 * @param isLeftOut steps that do not count, by the notes they go from and to; by default none
 */
export function stepsWithin(
  line: readonly Note[],
  isLeftOut: (from: Note, to: Note) => boolean = () => false,
): StepsWithin {
  let [all, stays, leaps] = [0, 0, 0];
  for (let i = 1; i < line.length; i++) {
    const [from, to] = [line[i - 1]!, line[i]!];
    if (isLeftOut(from, to)) continue;
    const size = Math.abs(to.soundingPitch - from.soundingPitch);
    all++;
    if (size === 0) stays++;
    if (size >= LEAPS_FROM_SEMITONES) leaps++;
  }
  return { all, stays, leaps };
}
