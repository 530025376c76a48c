/** Where the phrases of the music begin. */

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
  const count = turns.length - fromBarIndex;
  if (count < SHORTEST_BARS) return turns.length === 0 ? [] : [0];
  const loss = (bars: number) => c.phraseLengthWeight * Math.log2(bars / c.usualPhraseBars) ** 2;
  const longest = Math.max(2 * SHORTEST_BARS, Math.round(c.longestPhraseBars));
  const worth = [0];
  const cameFrom = [0];
  for (let end = 1; end <= count; end++) {
    worth[end] = -Infinity;
    cameFrom[end] = 0;
    for (let start = Math.max(0, end - longest); start <= end - SHORTEST_BARS; start++) {
      const turn = start === 0 ? 0 : turns[fromBarIndex + start]! - c.phraseFrom;
      const reached = worth[start]! + turn - loss(end - start);
      if (reached > worth[end]!) [worth[end], cameFrom[end]] = [reached, start];
    }
  }
  const starts: number[] = [];
  for (let end = count; end > 0; end = cameFrom[end]!) starts.unshift(fromBarIndex + cameFrom[end]!);
  return [0, ...starts.slice(1)];
}
