/** Where unpitched strokes stand on the stave, and with which head. Common practice, no source. */

/** Line or space of the percussion clef, named as in the treble clef, by General MIDI percussion key. */
const PLACES: Readonly<Record<number, readonly [step: string, octave: number]>> = {
  35: ["F", 4],
  36: ["F", 4],
  37: ["C", 5],
  38: ["C", 5],
  40: ["C", 5],
  41: ["G", 4],
  42: ["G", 5],
  43: ["A", 4],
  44: ["D", 4],
  45: ["B", 4],
  46: ["G", 5],
  47: ["D", 5],
  48: ["E", 5],
  49: ["A", 5],
  50: ["E", 5],
  51: ["F", 5],
  53: ["F", 5],
  57: ["A", 5],
  59: ["F", 5],
};

/** Cymbals and triangles, by General MIDI percussion key. */
const CROSS_HEADS: ReadonlySet<number> = new Set([42, 44, 46, 49, 51, 52, 53, 55, 57, 59, 80, 81]);

/** Place and head of a stroke; the middle line will do where the part plays nothing else. */
export function percussionDisplay(
  key: number,
  alone: boolean,
): { readonly step: string; readonly octave: number; readonly cross: boolean } {
  const [step, octave] = alone ? ["B", 4] as const : PLACES[key] ?? ["B", 4] as const;
  return { step, octave, cross: CROSS_HEADS.has(key) };
}
