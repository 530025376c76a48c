/** Means of what does not count alike. */

/** Mean of values by their weights; null where nothing has a weight. */
export function weightedMean(
  weighted: readonly (readonly [value: number, weight: number])[],
): number | null {
  let [sum, all] = [0, 0];
  for (const [value, weight] of weighted) {
    sum += value * weight;
    all += weight;
  }
  return all > 0 ? sum / all : null;
}
