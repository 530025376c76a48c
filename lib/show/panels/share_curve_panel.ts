/** The panel of a measure from 0 to 1 along the bars: a curve over its shade, and a box over each bar that says it. */
import * as Plot from "@observablehq/plot";
import { barBoxes, stepLine, stepsOf } from "../drawing/bar_marks.ts";
import type { BarPanel } from "../drawing/bars_frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { h } from "../drawing/svg.ts";
import { valueAxis } from "../drawing/value_axis.ts";

interface ShareCurve<Row> {
  readonly heading: string;
  readonly height: number;
  readonly colour: string;
  readonly valueOf: (row: Row) => number;
  /** What is said over a bar. */
  readonly wordsOf: (row: Row) => string;
  /** Marks between the curve and the boxes. */
  readonly marks?: readonly Plot.Markish[];
}

export function shareCurvePanel<Row extends { readonly barIndex: number }>(
  perBar: readonly Row[],
  { heading, height, colour, valueOf, wordsOf, marks = [] }: ShareCurve<Row>,
): BarPanel {
  const curve = stepsOf(perBar, valueOf);
  return {
    heading,
    height,
    domain: [0, 1.06],
    marks: [
      ...valueAxis({ bottom: 0, top: 1, height }),
      Plot.areaY(curve, { x: "x", y1: 0, y2: "y", fill: colour, fillOpacity: 0.14, ...namedMark("area") }),
      stepLine("curve", curve, { stroke: colour, strokeWidth: 1.8 }),
      ...marks,
      barBoxes("bars", perBar, { fill: "transparent", title: wordsOf }),
    ],
  };
}

/** The sign of such a curve in a legend. */
export function shareCurveSign(colour: string): SVGElement {
  return h("path", { d: "M0 11H8V5H22", fill: "none", stroke: colour, "stroke-width": 1.8 });
}
