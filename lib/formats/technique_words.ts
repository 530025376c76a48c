/** Ways of playing become words over the stave, once where they change. */
import type { Technique } from "../score/model.ts";

/** Words at a place. */
export interface TechniqueWords {
  /** Position in ticks. */
  readonly ticks: number;
  /** Words as printed. */
  readonly words: string;
  /** Whether players pluck from here, for readers that play: `yes`, `no`, or nothing changed. */
  readonly pizzicato?: "yes" | "no";
}

/** Words that begin a manner; harmonics and stopped notes carry a sign on each note instead. */
const BEGIN: Partial<Readonly<Record<Technique, string>>> = {
  "pizzicato": "pizz.",
  "col legno": "col legno",
  "sul ponticello": "sul pont.",
  "sul tasto": "sul tasto",
  "flutter": "flutter-tongue",
};
/** Words that end it. */
const END: Partial<Readonly<Record<Technique, string>>> = {
  "pizzicato": "arco",
  "col legno": "arco",
  "sul ponticello": "ord.",
  "sul tasto": "ord.",
  "flutter": "ord.",
};

/**
 * Words for one stave.
 *
 * @param points technique at each place where notes begin, in order
 * @returns words in order
 */
export function techniqueWords(
  points: readonly { readonly ticks: number; readonly technique: Technique }[],
): readonly TechniqueWords[] {
  const words: TechniqueWords[] = [];
  let manner: Technique = "ordinario";
  let muted = false;
  for (const { ticks, technique } of points) {
    if (technique === "harmonic" || technique === "stopped") continue;
    const wanted: Technique = technique === "con sordino" ? "ordinario" : technique;
    if (wanted !== manner) {
      const text = wanted === "ordinario" ? END[manner]! : BEGIN[wanted]!;
      const pizzicato = wanted === "pizzicato"
        ? "yes" as const
        : manner === "pizzicato"
        ? "no" as const
        : undefined;
      words.push({ ticks, words: text, ...(pizzicato ? { pizzicato } : {}) });
      manner = wanted;
    }
    // While plucking or the like the mute stays as it is; it matters again when the bow returns.
    if (wanted === "ordinario" && muted !== (technique === "con sordino")) {
      muted = technique === "con sordino";
      words.push({ ticks, words: muted ? "con sord." : "senza sord." });
    }
  }
  return words;
}
