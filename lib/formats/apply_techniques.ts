/** Words such as pizz. and con sord. become the way of playing of every note that follows. */
import type { Technique } from "../score/model.ts";
import type { TimedMark } from "./apply_dynamics.ts";

/**
 * The way of playing at any place of one stave: pizz., col legno and the like until arco or another takes
 * over; a mute until it is taken off. Where both hold, the manner is named and the mute is not.
 *
 * @param marks marks of the stave, in order of position
 * @returns a function from ticks to the technique
 */
export function techniqueCurve(marks: readonly TimedMark[]): (ticks: number) => Technique {
  const changes: { readonly ticks: number; readonly technique: Technique }[] = [];
  let manner: Technique = "ordinario";
  let muted = false;
  for (const { ticks, mark } of marks) {
    if (mark.kind !== "technique") continue;
    if (mark.manner !== undefined) manner = mark.manner;
    if (mark.muted !== undefined) muted = mark.muted;
    changes.push({ ticks, technique: manner === "ordinario" && muted ? "con sordino" : manner });
  }
  return (ticks) => {
    let low = 0;
    let high = changes.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (changes[middle]!.ticks <= ticks) low = middle + 1;
      else high = middle;
    }
    return changes[low - 1]?.technique ?? "ordinario";
  };
}
