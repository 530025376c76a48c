/** Where parts sound. */
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";

/** For each bar and part, whether anything sounds there. */
export function soundingCells(score: Score): readonly boolean[] {
  const { bars } = score;
  const parts = score.parts.length;
  const sounds = new Array<boolean>(bars.length * parts).fill(false);
  let first = 0;
  for (const { onsetTicks, durationTicks, part } of soundingNotes(score)) {
    while (first + 1 < bars.length && bars[first + 1]!.startTicks <= onsetTicks) first++;
    let bar = first;
    do sounds[bar * parts + part] = true; while (
      ++bar < bars.length && bars[bar]!.startTicks < onsetTicks + durationTicks
    );
  }
  return sounds;
}
