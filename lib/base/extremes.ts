/** The greatest and the least of very many numbers, which do not fit into the arguments of one call. */

/** The greatest of some numbers. */
export function greatestOf(values: Iterable<number>, atLeast: number = -Infinity): number {
  let most = atLeast;
  for (const value of values) most = Math.max(most, value);
  return most;
}

/** The least of some numbers. */
export function leastOf(values: Iterable<number>, atMost: number = Infinity): number {
  let least = atMost;
  for (const value of values) least = Math.min(least, value);
  return least;
}
