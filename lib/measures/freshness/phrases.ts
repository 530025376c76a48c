/** Where the phrases of the music begin. */
import { bestCuts, octavesApart } from "../best_cuts.ts";

/** Constants that phrases depend on. */
type PhraseConstants = Readonly<
  Record<"usualPhraseBars" | "longestPhraseBars" | "phraseLengthWeight" | "phraseFrom", number>
>;

/** No phrase is shorter, in bars. */
const SHORTEST_BARS = 2;

/**
 * First bars of the phrases: of all ways to cut the bars the one whose bar lines have most evidence, less `phraseFrom` for
 * every cut and less what lengths far from the usual lose, by the square of the octaves between them.
 *
 * Source: the rule of phrase length by Temperley, The Cognition of Basic Musical Structures (2001), ch. 3, from memory; in
 * bars here, and found by the same search over all ways to cut.
 *
 * @param turns evidence at each bar line
 * @param fromBarIndex first bar in which something sounds; those before it belong to the first phrase
 */
export function phraseStarts(
  turns: readonly number[],
  fromBarIndex: number,
  c: PhraseConstants,
): readonly number[] {
  if (turns.length === 0) return [];
  const starts = bestCuts(turns.length - fromBarIndex, {
    shortest: SHORTEST_BARS,
    longest: Math.max(2 * SHORTEST_BARS, Math.round(c.longestPhraseBars)),
    turnAt: (bar) => turns[fromBarIndex + bar]! - c.phraseFrom,
    lossOf: (bars) => c.phraseLengthWeight * octavesApart(bars, c.usualPhraseBars),
  });
  return [0, ...starts.slice(1).map((bar) => fromBarIndex + bar)];
}
