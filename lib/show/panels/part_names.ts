/** The names of parts left of a chart along the bars, one row each. */
import { h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth } from "../drawing/text_width.ts";
import { instrumentAsPrinted } from "../drawing/note_name.ts";

/** Room that the names of parts need at the left, in pixels; on narrow pictures less, and longer names are cut. */
export function namesMargin(names: readonly string[], width: number): number {
  const longest = Math.max(60, ...names.map((name) => textWidth(name, 11) + 14));
  return Math.min(longest, Math.max(70, width * 0.26));
}

/** The names up to the bars; a page may keep them in view, and finds their room in `data-width`. */
export function partNames(
  names: readonly string[],
  { marginLeft, yOf, size = 11 }: {
    readonly marginLeft: number;
    /** Base line of a row in pixels. */
    readonly yOf: (row: number) => number;
    readonly size?: number;
  },
): SVGElement {
  const texts = names.map(instrumentAsPrinted).map((name, row) =>
    svgText({
      text: fitText(name, size, marginLeft - 14),
      x: marginLeft - 8,
      y: yOf(row),
      size,
      anchor: "end",
      title: name,
    })
  );
  return h("g", { "aria-label": "parts", "data-width": marginLeft }, ...texts);
}
