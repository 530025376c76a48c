/** How each note of a part is spelt on paper. */
import type { Note, Score, Spelling } from "../../../score/model.ts";
import { barIndexOf } from "../../../score/time.ts";
import { enharmonic, spell, transposeSpelling } from "../../../score/spelling.ts";
import { type PartOnPaper, writtenKey } from "./part_on_paper.ts";

/** Pitch each note leads to: the next one in its line that is not the same again. */
function nextPitches(notes: readonly Note[]): ReadonlyMap<Note, number> {
  const lines = new Map<string, Note[][]>();
  for (const note of notes) {
    if (note.unpitched) continue;
    const key = `${note.staff}|${note.voice}`;
    const line = lines.get(key) ?? [];
    lines.set(key, line);
    const last = line.at(-1);
    if (last && last[0]!.onsetTicks === note.onsetTicks) last.push(note);
    else line.push([note]);
  }
  const next = new Map<Note, number>();
  for (const line of lines.values()) {
    for (let i = line.length - 2; i >= 0; i--) {
      const following = line[i + 1]!;
      for (const note of line[i]!) {
        const again = following.find((n) => n.soundingPitch === note.soundingPitch);
        const touches = note.onsetTicks + note.durationTicks >= following[0]!.onsetTicks;
        const pitch = again ? next.get(again) : touches ? following.at(-1)!.soundingPitch : undefined;
        if (pitch !== undefined) next.set(note, pitch);
      }
    }
  }
  return next;
}

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
  const nextOf = nextPitches(paper.notes);
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
