/** Where parts sound. */
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";

/** For each bar and part, whether anything sounds there. */
export function soundingCells(score: Score): readonly boolean[] {
  const parts = score.parts.length;
  const sounds = new Array<boolean>(score.bars.length * parts).fill(false);
  for (const { onsetTicks, durationTicks, part } of soundingNotes(score)) {
    const last = barIndexOf(score, onsetTicks + durationTicks - 1);
    for (let b = barIndexOf(score, onsetTicks); b <= last; b++) sounds[b * parts + part] = true;
  }
  return sounds;
}
