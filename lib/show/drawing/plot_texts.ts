/** Words beside and above a plot. */
import * as Plot from "@observablehq/plot";
import { fitText } from "./text_width.ts";

/** Rows and how they are named. */
interface RowNamesInput<T> {
  /** Place of a row on the upright scale. */
  readonly y: Plot.ChannelValueSpec;
  readonly nameOf: (row: T) => string;
  /** What pops up over a name; by default the name. */
  readonly titleOf?: (row: T) => string;
  /** Room for a name in pixels. */
  readonly room: number;
  /** Pixels between a name and the plot. Default 10. */
  readonly before?: number;
  readonly size?: number;
  /** Weight; bold names are taken to be wider. Default 400. */
  readonly weight?: number;
}

/** How much wider bold type is. */
const BOLD = 1.07;

/** The names of rows, left of the plot and up to its edge; what does not fit is cut, and pops up in full. */
export function rowNames<T>(
  rows: readonly T[],
  { y, nameOf, titleOf = nameOf, room, before = 10, size = 11, weight = 400 }: RowNamesInput<T>,
): Plot.Markish {
  return Plot.text(rows, {
    y,
    frameAnchor: "left",
    textAnchor: "end",
    dx: -before,
    text: (row: T) => fitText(nameOf(row), weight > 500 ? size * BOLD : size, room),
    fontSize: size,
    ...(weight === 400 ? {} : { fontWeight: weight }),
    title: titleOf,
  });
}

/** Words above a plot and how they are set. */
interface HeadWordsInput {
  /** Pixels right of the left edge of the plot. Default 0. */
  readonly dx?: number;
  /** Base line, in pixels below the upper edge of the plot; negative above it. Default 0. */
  readonly dy?: number;
  /** Size in pixels. Default 11. */
  readonly size?: number;
  readonly weight?: number;
  readonly opacity?: number;
  /** Which end of the words `dx` is. Default `start`. */
  readonly anchor?: "start" | "end";
  /** What pops up over them, where that is more than the words. */
  readonly title?: string;
}

/** A line of words at the upper left corner of a plot. */
export function headWords(
  words: string,
  { dx = 0, dy = 0, size = 11, weight = 400, opacity = 1, anchor = "start", title }: HeadWordsInput = {},
): Plot.Markish {
  return Plot.text(words === "" ? [] : [words], {
    frameAnchor: "top-left",
    lineAnchor: "bottom",
    textAnchor: anchor,
    dx,
    dy: dy + 0.2 * size,
    fontSize: size,
    fontWeight: weight,
    fillOpacity: opacity,
    ...(title === undefined || title === words ? {} : { title: () => title }),
  });
}
