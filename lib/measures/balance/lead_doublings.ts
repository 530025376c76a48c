/** Which notes of other parts double the lead. */
import { pitchClassOf } from "../../base/modulo.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";

/** Share of a part's notes, over three bars, that have to double the lead. Model assumption. */
const DOUBLES_FROM_SHARE = 0.6;

/** A note of the lead. */
interface LeadNote {
  readonly from: number;
  readonly to: number;
  readonly pitchClass: number;
}

/**
 * Notes that double the lead at the unison or in octaves: begun with one of its notes, or within it (a tune in
 * repeated notes), on its pitch class. Only of parts that go with the lead over some notes: in the bar and the bars
 * beside it, most of their notes double it, on two pitches at least. A chord tone on which two parts meet is no
 * doubling.
 *
 * Such notes merge with the lead to the ear, since they begin together and their partials coincide (Bregman, Auditory
 * Scene Analysis, 1990, ch. 3, from memory), and are written for its support (common practice).
 */
export function leadDoublings(score: Score, texture: Texture, notes: readonly Note[]): ReadonlySet<Note> {
  const parts = score.parts.length;
  const leads = (bar: number, part: number) => texture.cells[bar * parts + part]?.role === "lead";
  const leadNotes: LeadNote[][] = score.bars.map(() => []);
  const others: Map<number, Note[]>[] = score.bars.map(() => new Map());
  for (const note of notes) {
    if (note.unpitched) continue;
    const bar = barIndexOf(score, note.onsetTicks);
    if (leads(bar, note.part)) {
      const from = note.onsetTicks, to = note.onsetTicks + note.durationTicks;
      leadNotes[bar]!.push({ from, to, pitchClass: pitchClassOf(note.soundingPitch) });
    } else {
      const own = others[bar]!.get(note.part);
      if (own) own.push(note);
      else others[bar]!.set(note.part, [note]);
    }
  }
  const isDoubling = (note: Note, bar: number): boolean => {
    const end = note.onsetTicks + note.durationTicks;
    const pitchClass = pitchClassOf(note.soundingPitch);
    const fits = (l: LeadNote) =>
      l.pitchClass === pitchClass &&
      (l.from === note.onsetTicks || l.from < note.onsetTicks && end <= l.to);
    return leadNotes[bar]!.some(fits) || (leadNotes[bar - 1]?.some(fits) ?? false);
  };
  const doubling: Map<number, Note[]>[] = others.map((ofBarIndex, b) =>
    new Map([...ofBarIndex].map(([part, own]) => [part, own.filter((n) => isDoubling(n, b))]))
  );
  const result = new Set<Note>();
  doubling.forEach((ofBarIndex, b) => {
    for (const [part, own] of ofBarIndex) {
      if (own.length === 0) continue;
      let all = 0;
      const near: Note[] = [];
      for (const i of [b - 1, b, b + 1]) {
        all += others[i]?.get(part)?.length ?? 0;
        near.push(...doubling[i]?.get(part) ?? []);
      }
      if (
        near.length < DOUBLES_FROM_SHARE * all ||
        new Set(near.map((n) => pitchClassOf(n.soundingPitch))).size < 2
      ) continue;
      for (const note of own) result.add(note);
    }
  });
  return result;
}
