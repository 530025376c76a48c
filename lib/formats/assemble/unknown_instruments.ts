/** Parts whose instrument nobody knows, and what stands in for them once their notes are known. */
import { standInByRange } from "../../instruments/names/stand_in_by_range.ts";
import type { RawPart } from "./raw_score.ts";

/** Names that say nothing of an instrument: what programs call a part that was given none. */
const SAYS_NOTHING = /^\W*((music\s*xml|part|voice|staff|stave|track|instrument|unnamed)\W*)*\d*\W*$/i;

/**
 * Gives parts that name an instrument nobody knows a stand-in by family and range, as far as they have single notes;
 * chords are left to the piano. The part goes on as not known (`instrumentFrom`), which reports say: its range is not judged.
 */
export function withStandIns(parts: readonly RawPart[]): readonly RawPart[] {
  return parts.map((raw) => {
    const { part, notes } = raw;
    if (part.instrumentFrom !== "fallback" || SAYS_NOTHING.test(part.name)) return raw;
    const instrument = hasChords(notes)
      ? undefined
      : standInByRange(part.name, notes.filter((n) => !n.unpitched).map((n) => n.soundingPitch));
    const id = instrument?.id ?? part.instrument;
    return { ...raw, part: { ...part, instrument: id } };
  });
}

function hasChords(notes: RawPart["notes"]): boolean {
  const begun = new Set<string>();
  return notes.some((n) => {
    if (n.grace) return false;
    const place = `${n.barIndex} ${n.offsetTicks}`;
    if (begun.has(place)) return true;
    begun.add(place);
    return false;
  });
}
