import * as Plot from "@observablehq/plot";
import { fitText } from "./text_width.ts";

/** Rows and how they are named. */
export interface RowNamesInput<T> {
  /** Place of a row on the upright scale. */
  readonly y: Plot.ChannelValueSpec;
  /** Name of a row, in full. */
  readonly nameOf: (row: T) => string;
  /** Room for a name in pixels. */
  readonly room: number;
  /** Size in pixels. Default 11. */
  readonly size?: number;
  /** Weight; bold names are taken to be wider. Default 400. */
  readonly weight?: number;
}

/** How much wider bold type is. */
const BOLD = 1.07;

/**
 * The names of rows, left of the plot and up to its edge; what does not fit is cut, and pops up in full.
 *
 * @param rows the rows
 * @param input place, name and room of a row
 * @returns a mark
 */
export function rowNames<T>(
  rows: readonly T[],
  { y, nameOf, room, size = 11, weight = 400 }: RowNamesInput<T>,
): Plot.Markish {
  return Plot.text(rows, {
    y,
    frameAnchor: "left",
    textAnchor: "end",
    dx: -10,
    text: (row: T) => fitText(nameOf(row), weight > 500 ? size * BOLD : size, room),
    fontSize: size,
    ...(weight === 400 ? {} : { fontWeight: weight }),
    title: nameOf,
  });
}
