/** Where a row of bars is best cut. */

/** What a way to cut is judged by. */
interface CutRules {
  /** No stretch is shorter, in bars, unless the whole row is. */
  readonly shortest: number;
  /** No stretch is longer, in bars. */
  readonly longest: number;
  /** What a cut before a bar is worth; bars count from 0. */
  readonly turnAt: (bar: number) => number;
  /** What a stretch of some bars loses by its length. */
  readonly lossOf: (bars: number) => number;
}

/** The best way to reach a place: how much it is worth, and where its last stretch begins. */
interface BestWay {
  readonly worth: number;
  readonly start: number;
}

/**
 * First bars of the stretches of the best of all ways to cut a row, found by the best way to reach every place. A row that
 * cannot be cut so is one stretch; of equal ways the one whose last stretch is longest.
 *
 * @param count bars in the row
 */
export function bestCuts(count: number, { shortest, longest, turnAt, lossOf }: CutRules): readonly number[] {
  const ways: (BestWay | undefined)[] = [{ worth: 0, start: 0 }];
  for (let end = 1; end <= count; end++) {
    let best: BestWay | undefined;
    for (let start = Math.max(0, end - longest); start <= end - shortest; start++) {
      const before = ways[start];
      if (before === undefined) continue;
      // Every way begins with the first bar, whose turn counts alike for all.
      const worth = before.worth + turnAt(start) - lossOf(end - start);
      if (best === undefined || worth > best.worth) best = { worth, start };
    }
    ways.push(best);
  }
  const starts: number[] = [];
  for (let end = count; end > 0; end = starts[0]!) starts.unshift(ways[end]?.start ?? 0);
  return starts;
}

/** What is lost by the square of the octaves between a length and the usual one. */
export function octavesApart(bars: number, usual: number): number {
  return Math.log2(bars / usual) ** 2;
}
