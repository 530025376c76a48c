/** Glissandi and slides need both their ends in the file, and a number that no other one near them has. */
import { glissandoTargets } from "../score/glissandi.ts";
import type { Glissando, Note } from "../score/model.ts";

/** One end of a glissando as it is written on a note. */
export interface WrittenGlissando {
  /** Glissando or slide. */
  readonly kind: Glissando["kind"];
  /** Which end. */
  readonly type: "start" | "stop";
  /** Number, from 1. */
  readonly number: number;
  /** Whether the word stands beside the line: once for a chord, and not where one line follows another. */
  readonly worded: boolean;
}

/** Most lines that can be told apart at once (`number-level` of MusicXML 4.0). */
const MOST_AT_ONCE = 16;

/**
 * Numbers the glissandi and slides of one part. One whose end is not among the notes cannot be written and is
 * left out.
 *
 * @param notes notes of the part, in order of onset
 * @returns the ends that stand on each note, stops first
 */
export function numberGlissandi(notes: readonly Note[]): ReadonlyMap<Note, readonly WrittenGlissando[]> {
  const ends = new Map<Note, WrittenGlissando[]>();
  if (!notes.some((n) => n.glissandi)) return ends;
  const put = (note: Note, end: WrittenGlissando) => {
    const list = ends.get(note);
    if (list) list.push(end);
    else ends.set(note, [end]);
  };
  const targetOf = glissandoTargets(notes);
  const endOf: number[] = [];
  const worded = new Set<number>();
  const reached = new Set<number>();
  for (const note of notes) {
    for (const glissando of note.glissandi ?? []) {
      const target = targetOf(note, glissando);
      if (!target) continue;
      let slot = 0;
      while ((endOf[slot] ?? -1) >= note.onsetTicks) slot++;
      if (slot >= MOST_AT_ONCE) continue;
      endOf[slot] = target.onsetTicks;
      const { kind } = glissando;
      const isFirst = !worded.has(note.onsetTicks) && !reached.has(note.onsetTicks);
      worded.add(note.onsetTicks);
      reached.add(target.onsetTicks);
      put(note, { kind, type: "start", number: slot + 1, worded: isFirst });
      put(target, { kind, type: "stop", number: slot + 1, worded: false });
    }
  }
  for (const list of ends.values()) {
    list.sort((a, b) => Number(b.type === "stop") - Number(a.type === "stop"));
  }
  return ends;
}
