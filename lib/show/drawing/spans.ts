/** Neighbouring bars that have something in common. */

/** A span of bars. */
export interface BarSpan {
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
  /** What the bars have in common. */
  readonly name: string;
}

/** Joins neighbouring rows that carry the same name; rows with an empty one are left out. */
export function spansOf<T extends { readonly barIndex: number }>(
  rows: readonly T[],
  nameOf: (row: T) => string,
): readonly BarSpan[] {
  const spans: BarSpan[] = [];
  for (const row of rows) {
    const name = nameOf(row);
    const last = spans.at(-1);
    if (name === "") continue;
    if (last && last.name === name && last.toBarIndex === row.barIndex - 1) {
      spans[spans.length - 1] = { ...last, toBarIndex: row.barIndex };
    } else spans.push({ fromBarIndex: row.barIndex, toBarIndex: row.barIndex, name });
  }
  return spans;
}
