/** What a part does, broadly: what the kinds that people have words for come down to. */

/** What a part does, broadly. */
export type Broad = "melody" | "moving" | "held" | "isolated" | "line";

/** All broad kinds, in the order of the models. */
export const BROAD_KINDS: readonly Broad[] = ["melody", "moving", "held", "isolated", "line"];

/** What the kinds of the weights come down to. */
export const BROAD: Readonly<Record<string, Broad>> = {
  "melody": "melody",
  "decorative melody": "line",
  "rhythm": "moving",
  "repeated notes": "moving",
  "oscillation": "moving",
  "alternating chord tones": "moving",
  "arpeggio": "moving",
  "scale": "moving",
  "held harmony": "held",
  "isolated strokes": "isolated",
};
