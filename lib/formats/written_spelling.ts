/** How each note of a part is spelt on paper. */
import type { Note, Score, Spelling } from "../score/model.ts";
import { barIndexOf } from "../score/time.ts";
import { enharmonic, spell, transposeSpelling } from "../score/spelling.ts";
import { type PartOnPaper, writtenKey } from "./part_on_paper.ts";

/**
 * Written spelling of every pitched note of a part: the note's own, moved to the part's key, or else chosen
 * from the key signature and from where the line goes.
 *
 * @param score the score
 * @param paper the part
 * @returns spelling by note
 */
export function writtenSpellings(score: Score, paper: PartOnPaper): ReadonlyMap<Note, Spelling> {
  const { part } = paper;
  const up = { semitones: -part.transposeSemitones, steps: -part.transposeSteps };
  const nextOf = new Map<Note, number>();
  const lastOf = new Map<string, Note[]>();
  for (const note of paper.notes) {
    if (note.unpitched) continue;
    const line = `${note.staff}|${note.voice}`;
    const before = lastOf.get(line) ?? [];
    const together = before[0]?.onsetTicks === note.onsetTicks;
    if (!together) {
      for (const earlier of before) {
        const end = earlier.onsetTicks + earlier.durationTicks;
        if (end >= note.onsetTicks && !nextOf.has(earlier)) nextOf.set(earlier, note.soundingPitch);
      }
    }
    lastOf.set(line, together ? [...before, note] : [note]);
  }
  const spellings = new Map<Note, Spelling>();
  for (const note of paper.notes) {
    if (note.unpitched) continue;
    const bar = score.bars[barIndexOf(score, note.onsetTicks)];
    const key = writtenKey(paper, bar?.keyFifths ?? 0);
    if (note.spelling) {
      let written = transposeSpelling(note.spelling, up);
      if (key.enharmonic !== 0) written = enharmonic(written, key.enharmonic);
      if (Math.abs(written.alter) > 2) written = enharmonic(written, written.alter > 0 ? -1 : 1);
      spellings.set(note, written);
    } else {
      const next = nextOf.get(note);
      spellings.set(
        note,
        spell(note.soundingPitch - part.transposeSemitones, {
          keyFifths: key.fifths,
          next: next === undefined ? undefined : next - part.transposeSemitones,
        }),
      );
    }
  }
  return spellings;
}
