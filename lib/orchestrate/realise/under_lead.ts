/** Figures beside a lead that stands: under it, where a part has room there. */
import type { LayerPart } from "./layers/task.ts";

/** Semitones a part needs below the lead for a figure to lie there: an octave, and a tone to turn on. Model assumption. */
const ROOM = 14;

/**
 * Parts with the tops of their ranges under the lead: under the lowest quarter of what it has over the chords of the layer, so that one low note of it
 * does not press the figure down. Parts without that room stay as they are.
 *
 * @param parts the parts of a layer
 * @param ceilings the lowest note of the lead over each chord, where it has one
 */
export function underLead(parts: readonly LayerPart[], ceilings: readonly number[]): readonly LayerPart[] {
  if (ceilings.length === 0) return parts;
  const top = ceilings.toSorted((a, b) => a - b)[Math.floor(ceilings.length / 4)]! - 1;
  return parts.map((part) => {
    const { low, high, home = (low + high) / 2 } = part.range;
    if (top >= high || top - low < ROOM) return part;
    return { ...part, range: { ...part.range, high: top, home: Math.min(home, (low + top) / 2) } };
  });
}
