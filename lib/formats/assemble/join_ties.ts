/** Tied note heads become one note. */
import { addTo } from "../../base/add_to.ts";
import type { HeldNote } from "./held_note.ts";
import type { RawNote } from "./raw_score.ts";

/**
 * Joins tied note heads of one part, which come by onset. A head that ends a tie is joined to the note of the
 * same pitch that ends where it begins, in the same voice if there is one there. Grace notes are left alone.
 * Heads of ties that lack one end are returned.
 */
export function joinTies(
  notes: readonly { readonly raw: RawNote; readonly onsetTicks: number }[],
): { readonly held: HeldNote[]; readonly noteOf: Map<RawNote, HeldNote>; readonly looseEnds: RawNote[] } {
  const held: HeldNote[] = [];
  const noteOf = new Map<RawNote, HeldNote>();
  /** Notes with an open tie by pitch, and by where they end: a tie goes on there and nowhere else. */
  const open = new Map<number, Map<number, HeldNote[]>>();
  const looseEnds: RawNote[] = [];
  for (const { raw, onsetTicks } of notes) {
    const tied = !raw.grace && (raw.tieStart || raw.tieStop);
    let note: HeldNote | undefined;
    if (tied && raw.tieStop) {
      const waiting = open.get(raw.soundingPitch)?.get(onsetTicks);
      if (waiting && waiting.length > 0) {
        const at = Math.max(0, waiting.findIndex((n) => n.raw.voice === raw.voice));
        note = waiting.splice(at, 1)[0]!;
        note.endTicks += raw.durationTicks;
        (note.placeOf ??= new Map()).set(raw, note.heads.length);
        note.heads.push(raw);
        note.trill ||= raw.trill;
        note.breath ||= raw.articulations.includes("breath");
      } else looseEnds.push(raw);
    }
    if (!note) {
      note = {
        raw,
        onsetTicks,
        endTicks: onsetTicks + raw.durationTicks,
        heads: [raw],
        slurs: [],
        wavyLines: [],
        slurred: false,
        slurStart: false,
        slurStop: false,
        trill: raw.trill,
        glissandi: [],
        breath: raw.articulations.includes("breath"),
      };
      held.push(note);
    }
    noteOf.set(raw, note);
    if (tied && raw.tieStart) {
      let byEnd = open.get(raw.soundingPitch);
      if (!byEnd) open.set(raw.soundingPitch, byEnd = new Map());
      addTo(byEnd, note.endTicks, note);
    }
  }
  for (const byEnd of open.values()) {
    for (const waiting of byEnd.values()) for (const { raw } of waiting) looseEnds.push(raw);
  }
  return { held, noteOf, looseEnds };
}
