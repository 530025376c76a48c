/** Where the slurs of a line begin and end. */
import type { Note } from "./model.ts";

/** What a note has of slurs. */
export type SlurEnds = Pick<Note, "slurred" | "slurStart" | "slurStop">;

/**
 * What each note of a line has of slurs.
 *
 * @param joined whether each is joined to the one before it
 * @param beginsAnew whether a slur begins on a note under which another ends; by default none does
 */
export function slurEnds(
  joined: readonly boolean[],
  beginsAnew: (index: number) => boolean = () => false,
): readonly SlurEnds[] {
  return joined.map((slurred, i): SlurEnds => {
    const goesOn = joined[i + 1] === true;
    const slurStart = goesOn && (!slurred || beginsAnew(i));
    return { slurred, slurStart, slurStop: slurred && (!goesOn || slurStart) };
  });
}
