/** Horns as they were once written: in the bass clef an octave lower than they sound by the treble clef's rule. */
import { instrumentById } from "../../instruments/catalogue.ts";
import type { NoticeList } from "./notice_list.ts";
import type { RawNote, RawPart, RawPlace } from "./raw_score.ts";

/** Highest sounding pitch (F4) such a stretch has once it is an octave higher; above it the treble clef is used. Model assumption. */
const HIGHEST_IN_BASS_CLEF = 65;

/**
 * Raises what horns have in the bass clef by an octave, in files where the usual reading takes a horn below its lowest
 * note: until about 1900 the bass clef of horns was written an octave too low (Piston, Orchestration, 1955, chapter on
 * the horn, from memory). All horns of such a file are read alike; a part that would come to lie too high for the clef
 * is left as it is. What is written afterwards has the usual notation.
 */
export function readOldHorns(parts: readonly RawPart[], notices: NoticeList): void {
  const horns = parts.filter(isHorn).map((part) => ({ part, notes: inBassClef(part) }));
  const isTooLow = ({ part, notes }: (typeof horns)[number]) => {
    const { low } = instrumentById(part.part.instrument).rangeExtreme;
    return notes.some((n) => n.soundingPitch < low);
  };
  if (!horns.some(isTooLow)) return;
  for (const { part, notes } of horns) {
    if (notes.length === 0 || notes.some((n) => n.soundingPitch + 12 > HIGHEST_IN_BASS_CLEF)) continue;
    for (const note of notes) {
      note.soundingPitch += 12;
      if (note.step !== "") note.octave += 1;
    }
    notices.add(
      "horn in the bass clef of old: read an octave higher, or it would lie below its lowest note",
      part.part.name,
    );
  }
}

function isHorn({ part }: RawPart): boolean {
  return instrumentById(part.instrument).kind === instrumentById("horn in F").kind;
}

/** Notes that stand in a bass clef. */
function inBassClef({ notes, notation }: RawPart): readonly RawNote[] {
  const clefs = notation?.clefs ?? [];
  if (!clefs.some((c) => c.sign === "F")) return [];
  return notes.filter((note) => {
    const inForce = clefs.findLast((c) => c.staff === note.staff && !isBefore(note, c));
    return inForce?.sign === "F" && inForce.octaves === undefined;
  });
}

function isBefore(a: RawPlace, b: RawPlace): boolean {
  return a.barIndex === b.barIndex ? a.offsetTicks < b.offsetTicks : a.barIndex < b.barIndex;
}
