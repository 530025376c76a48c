/** Glissandi and slides need both their ends in the file, and a number that no other one near them has. */
import { addTo } from "../../../base/add_to.ts";
import { glissandoTargets } from "../../../score/glissandi.ts";
import type { Glissando, Note, Score } from "../../../score/model.ts";
import { barIndexOf } from "../../../score/time.ts";

/** One end of a glissando as it is written on a note. */
export interface WrittenGlissando {
  readonly kind: Glissando["kind"];
  readonly type: "start" | "stop";
  readonly number: number;
  /** For a note of several tied heads: whether the end stands at the first of them or at the last. */
  readonly head: "first" | "last";
  /** Whether the word stands beside the line: once for a chord, and not where one line follows another. */
  readonly worded: boolean;
}

/** Most lines that can be told apart at once (`number-level` of MusicXML 4.0). */
const MOST_AT_ONCE = 16;

/**
 * Numbers the glissandi and slides of one part, and gives the ends on each note, stops first. One whose end
 * is not among the notes cannot be written and is left out, and so is a seventeenth at once. A file brings
 * the voices of a bar one after another, so a number is used again from the next bar on; before that only in
 * its own voice, when all are taken.
 */
export function numberGlissandi(
  score: Score,
  notes: readonly Note[],
): ReadonlyMap<Note, readonly WrittenGlissando[]> {
  const ends = new Map<Note, WrittenGlissando[]>();
  if (!notes.some((n) => n.glissandi)) return ends;
  const targetOf = glissandoTargets(notes);
  const lastOf:
    ({ readonly line: string; readonly onsetTicks: number; readonly barIndex: number } | undefined)[] = [];
  const lineOf = (note: Note) => `${note.staff}|${note.voice}`;
  const worded = new Set<number>();
  const reached = new Set<number>();
  for (const note of notes) {
    for (const glissando of note.glissandi ?? []) {
      const target = targetOf(note, glissando);
      if (!target) continue;
      const line = lineOf(note) === lineOf(target) ? lineOf(note) : "";
      const bar = barIndexOf(score, note.onsetTicks);
      const slots = Array.from({ length: MOST_AT_ONCE }, (_, slot) => lastOf[slot]);
      const sinceBar = slots.findIndex((last) => last === undefined || last.barIndex < bar);
      const free = sinceBar >= 0
        ? sinceBar
        : slots.findIndex((last) => line !== "" && last!.line === line && last!.onsetTicks < note.onsetTicks);
      if (free < 0) continue;
      lastOf[free] = { line, onsetTicks: target.onsetTicks, barIndex: barIndexOf(score, target.onsetTicks) };
      const { kind } = glissando;
      // The line leaves the last head, unless the note is still held when the end is reached.
      const head = target.onsetTicks < note.onsetTicks + note.durationTicks ? "first" : "last";
      const isFirst = !worded.has(note.onsetTicks) && !reached.has(note.onsetTicks);
      worded.add(note.onsetTicks);
      reached.add(target.onsetTicks);
      addTo(ends, note, { kind, type: "start", number: free + 1, head, worded: isFirst });
      addTo(ends, target, { kind, type: "stop", number: free + 1, head: "first", worded: false });
    }
  }
  for (const list of ends.values()) {
    list.sort((a, b) => Number(b.type === "stop") - Number(a.type === "stop"));
  }
  return ends;
}
