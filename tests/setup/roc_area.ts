/**
 * Area under the ROC curve: the chance that a value of the one kind is larger than one of the other, ties counting half.
 *
 * @param positives values where something is so
 * @param negatives values where it is not
 * @returns 0 to 1; 0.5 is guessing
 *
 * Source: Hanley and McNeil, The meaning and use of the area under a receiver operating characteristic (ROC) curve,
 * Radiology 143 (1982) 29-36: equal to the Wilcoxon statistic.
 */
export function rocArea(positives: readonly number[], negatives: readonly number[]): number {
  let wins = 0;
  for (const p of positives) {
    for (const n of negatives) wins += p > n ? 1 : p === n ? 0.5 : 0;
  }
  return wins / (positives.length * negatives.length);
}
