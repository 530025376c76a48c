/** Neighbouring bars that have something in common. */

export interface BarSpan {
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
}

/** A row that stands for some that follow each other. */
export type Run<Row> = Row & BarSpan & { readonly rows: readonly Row[] };

/** Joins rows of neighbouring bars that are like the first of them. */
export function runsOf<Row extends { readonly barIndex: number }>(
  rows: readonly Row[],
  isAlike: (first: Row, row: Row) => boolean,
): readonly Run<Row>[] {
  const runs: Row[][] = [];
  for (const row of rows) {
    const run = runs.at(-1);
    if (run && run.at(-1)!.barIndex === row.barIndex - 1 && isAlike(run[0]!, row)) run.push(row);
    else runs.push([row]);
  }
  return runs.map((rows) => {
    const first = rows[0]!;
    return { ...first, fromBarIndex: first.barIndex, toBarIndex: rows.at(-1)!.barIndex, rows };
  });
}

export interface NamedSpan extends BarSpan {
  readonly name: string;
}

/** Joins neighbouring rows that carry the same name; rows with an empty one are left out. */
export function spansOf<Row extends { readonly barIndex: number }>(
  rows: readonly Row[],
  nameOf: (row: Row) => string,
): readonly NamedSpan[] {
  const named = rows.map((row) => ({ barIndex: row.barIndex, name: nameOf(row) }));
  return runsOf(named.filter((r) => r.name !== ""), (a, b) => a.name === b.name)
    .map(({ name, fromBarIndex, toBarIndex }) => ({ name, fromBarIndex, toBarIndex }));
}
