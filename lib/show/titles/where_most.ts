/** Where along the bars something is most, as titles say it. */
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { type BarAxis, numberOf } from "../drawing/bar_axis.ts";

/** A passage or a bar, and the mean of what is measured there. */
interface RankedPlace {
  /** As it is called: `“Rapids”` or `bar 12`. */
  readonly name: string;
  readonly value: number;
}

interface ValueRow {
  readonly barIndex: number;
}

/**
 * The places to speak of, from most to least: named passages where there are several with a figure, else bars.
 */
export function placesByValue<Row extends ValueRow>(
  rows: readonly Row[],
  axis: BarAxis,
  valueOf: (row: Row) => number | null,
): readonly RankedPlace[] {
  const known = rows.flatMap((row) => {
    const value = valueOf(row);
    return value === null ? [] : [{ barIndex: row.barIndex, value }];
  });
  const passages = axis.passages.filter((p) => p.name !== "").flatMap(
    ({ name, fromBarIndex, toBarIndex }) => {
      const own = known.filter((k) => k.barIndex >= fromBarIndex && k.barIndex <= toBarIndex);
      if (own.length === 0) return [];
      return [{ name: quoted(name), value: mean(own, (k) => k.value)! }];
    },
  );
  const names = new Set(passages.map((p) => p.name));
  const places = names.size > 1 && names.size === passages.length
    ? passages
    : known.map((k) => ({ name: `bar ${numberOf(axis, k.barIndex)}`, value: k.value }));
  return places.toSorted((a, b) => b.value - a.value);
}

/** A name in quotation marks. */
export function quoted(name: string): string {
  return `“${name}”`;
}
