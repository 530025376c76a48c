/** Rows that are counted and then shared out. */

/** Counts a row once more. */
export function counted<Row>(rows: Map<string, Row & { count: number }>, key: string, row: Row): void {
  const one = rows.get(key);
  if (one) one.count++;
  else rows.set(key, { ...row, count: 1 });
}

/** Rows with their share of all, the largest first; those that are alike by name. */
export function sharedOut<Row extends { count: number }>(
  rows: ReadonlyMap<string, Row>,
  all: number,
): readonly (Omit<Row, "count"> & { readonly share: number })[] {
  return [...rows].sort(([a, one], [b, other]) => other.count - one.count || (a < b ? -1 : 1))
    .map(([, { count, ...row }]) => ({ ...row, share: count / all }));
}
