/** What sounds in each bar. */
import { soundingNotes } from "../score/build.ts";
import type { Note, Score } from "../score/model.ts";
import { barIndexOf } from "../score/time.ts";

/** Notes that sound in each bar, those held over from before among them. */
export function notesInBars(score: Score): readonly (readonly Note[])[] {
  const bars: Note[][] = score.bars.map(() => []);
  for (const note of soundingNotes(score)) {
    const end = note.onsetTicks + note.durationTicks;
    const first = barIndexOf(score, note.onsetTicks);
    for (let b = first; b < bars.length && (b === first || score.bars[b]!.startTicks < end); b++) {
      bars[b]!.push(note);
    }
  }
  return bars;
}
