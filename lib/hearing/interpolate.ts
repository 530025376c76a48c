// @ts-types="@types/d3-array"
import { bisector } from "d3-array";

/** Rows of a printed table: a column to look up and a column to read, the first rising. */
export type TableRows = ReadonlyArray<readonly [number, number]>;

const placeOf = bisector((row: readonly [number, number]) => row[0]);

/**
 * Reads between the rows of a printed table along straight lines. Below the first row and above the last it stays at
 * theirs.
 */
export function interpolate(rows: TableRows, x: number): number {
  const first = rows[0]!, last = rows[rows.length - 1]!;
  if (x <= first[0]) return first[1];
  if (x >= last[0]) return last[1];
  const i = placeOf.left(rows, x);
  const [x0, y0] = rows[i - 1]!, [x1, y1] = rows[i]!;
  return y0 + (y1 - y0) * (x - x0) / (x1 - x0);
}
