/** How forcefully each part plays in each bar: what its dynamic makes of a stroke. */
import { notesByBar } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";

/**
 * Force of a single note by its dynamic, for every bar and part in the order of a texture's cells: the mean dynamic of
 * the notes that begin there, or sound on where none does, over twice the dynamic at which a note has half its force.
 * 0 where a part is silent, and never more than 1.
 */
export function forcesOf(score: Score, halfForceDynamic: number): Float64Array {
  const { bars, parts: { length: parts } } = score;
  const cells = bars.length * parts;
  const begun = { sum: new Float64Array(cells), count: new Float64Array(cells) };
  const heldOn = { sum: new Float64Array(cells), count: new Float64Array(cells) };
  notesByBar(score).forEach((notes, first) => {
    for (const { part, onsetTicks, durationTicks, dynamic } of notes) {
      for (let b = first; b < bars.length; b++) {
        if (b > first && bars[b]!.startTicks >= onsetTicks + durationTicks) break;
        const into = b === first ? begun : heldOn;
        into.sum[b * parts + part]! += dynamic;
        into.count[b * parts + part]!++;
      }
    }
  });
  const forces = new Float64Array(cells);
  for (let cell = 0; cell < cells; cell++) {
    const { sum, count } = begun.count[cell]! > 0 ? begun : heldOn;
    if (count[cell]! === 0) continue;
    forces[cell] = Math.min(1, sum[cell]! / count[cell]! / (2 * halfForceDynamic));
  }
  return forces;
}
