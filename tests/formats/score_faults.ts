/** What no score may have, however damaged the file was. */
import type { Score } from "../../lib/score/model.ts";

/**
 * The first fault of a score.
 *
 * @param score a score that was read
 * @returns what is wrong, or undefined
 */
export function faultOf(score: Score): string | undefined {
  for (const note of score.notes) {
    if (!(Number.isInteger(note.onsetTicks) && note.onsetTicks >= 0)) return `onset ${note.onsetTicks}`;
    if (!(Number.isInteger(note.durationTicks) && note.durationTicks >= 0)) {
      return `length ${note.durationTicks}`;
    }
    if (!Number.isFinite(note.soundingPitch)) return `pitch ${note.soundingPitch}`;
    if (!(note.dynamic >= 1 && note.dynamic <= 8)) return `dynamic ${note.dynamic}`;
  }
  let end = 0;
  for (const bar of score.bars) {
    if (bar.startTicks !== end || !(bar.durationTicks > 0) || !Number.isInteger(bar.durationTicks)) {
      return `bar ${bar.number} leaves a gap`;
    }
    end += bar.durationTicks;
  }
  if (score.tempos[0]?.onsetTicks !== 0 || !score.tempos.every((t) => t.quartersPerMinute > 0)) {
    return "tempo";
  }
  return undefined;
}
