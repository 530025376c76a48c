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
  const leadNotes: LeadNote[][] = score.bars.map(() => []);
  // By cell: how many notes the part has beside the lead.
  const others = new Int32Array(score.bars.length * parts);
  const beside: Note[] = [], cellOf: number[] = [];
  for (const note of notes) {
    if (note.unpitched) continue;
    const bar = barIndexOf(score, note.onsetTicks);
    const cell = bar * parts + note.part;
    if (texture.cells[cell]?.role === "lead") {
      const from = note.onsetTicks, to = note.onsetTicks + note.durationTicks;
      leadNotes[bar]!.push({ from, to, pitchClass: pitchClassOf(note.soundingPitch) });
    } else {
      others[cell]!++;
      beside.push(note);
      cellOf.push(cell);
    }
  }
  const isDoubling = beside.map((note, i) => {
    const bar = Math.floor(cellOf[i]! / parts);
    return doubles(note, leadNotes[bar]!) || bar > 0 && doubles(note, leadNotes[bar - 1]!);
  });
  // Likewise: how many of them double it, and on which pitch classes, a bit for each.
  const doubling = new Int32Array(others.length), pitchClasses = new Int32Array(others.length);
  beside.forEach((note, i) => {
    if (!isDoubling[i]) return;
    doubling[cellOf[i]!]!++;
    pitchClasses[cellOf[i]!]! |= 1 << pitchClassOf(note.soundingPitch);
  });
  return new Set(beside.filter((_, i) => {
    if (!isDoubling[i]) return false;
    let [all, near, classes] = [0, 0, 0];
    for (let cell = cellOf[i]! - parts; cell <= cellOf[i]! + parts; cell += parts) {
      all += others[cell] ?? 0;
      near += doubling[cell] ?? 0;
      classes |= pitchClasses[cell] ?? 0;
    }
    const areSeveral = (classes & (classes - 1)) !== 0;
    return near >= DOUBLES_FROM_SHARE * all && areSeveral;
  }));
}

/** Whether a note is begun with one of the lead, or within it, on its pitch class. */
function doubles({ onsetTicks, durationTicks, soundingPitch }: Note, leads: readonly LeadNote[]): boolean {
  const isNear = (l: LeadNote) =>
    l.from === onsetTicks || l.from < onsetTicks && onsetTicks + durationTicks <= l.to;
  return leads.some((l) => isNear(l) && l.pitchClass === pitchClassOf(soundingPitch));
}
