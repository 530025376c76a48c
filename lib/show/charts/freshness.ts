import { A_FRESHNESS, checkArgument } from "../../arguments.ts";
import * as Plot from "@observablehq/plot";
import { namedMark } from "../named_mark.ts";
import type { Freshness, FreshnessBar, FreshnessChange, FreshnessExpected } from "../../measures/results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows } from "../bar_axis.ts";
import { barsFrame, barsWidth, MARGIN_RIGHT } from "../bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../chart_options.ts";
import { chartDocument } from "../document.ts";
import { type Chart, svgElement, svgText } from "../svg.ts";
import { fitText, textWidth } from "../text_width.ts";
import { valueAxis } from "../value_axis.ts";
import { counted } from "../words.ts";

const NAME = "freshness";
const MARGIN_LEFT = 52;
const CURVE = "#2f6a66";
const CHANGE = "#981230";
const LABEL_SIZE = 10;
const LABEL_LINE = 15;
const MOST_LINES = 9;
const LONGEST_LABEL = 420;

/** A change point with the line its name stands on. */
interface NamedChange {
  readonly change: FreshnessChange;
  readonly line: number;
  readonly left: number;
  readonly text: string;
}

/**
 * How lately the orchestration has changed: a curve that jumps at every change and sinks while nothing happens, with
 * the change points marked and named; below it, how much changes at each bar line.
 *
 * @param freshness the measure
 * @param score the score, for the names of passages
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { chartSvg, demoScore, freshness, freshnessChart } from "ripieno";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = freshnessChart(freshness(demoScore()), demoScore());
 * assertStringIncludes(chartSvg(chart), "freshness");
 * ```
 */
export function freshnessChart(freshness: Freshness, score?: Score, options: ChartOptions = {}): Chart {
  checkArgument("draw the freshness chart", freshness, A_FRESHNESS);
  const { width, height = 230, title = "Freshness" } = checkedOptions("freshness chart", options);
  const document = chartDocument();
  const axis = axisOfRows(freshness.perBar, checkedScore("freshness chart", score));
  const bars = barsWidth({ width, marginLeft: MARGIN_LEFT });
  const pixelsPerBar = bars / Math.max(1, freshness.perBar.length);
  const xOf = (bar: number) => MARGIN_LEFT + (bar - axis.fromBar) * pixelsPerBar;
  const named = nameChanges(freshness.changes, { xOf, right: width - MARGIN_RIGHT });
  const lines = Math.max(-1, ...named.map((n) => n.line)) + 1;
  const labels = named.flatMap(({ change, line, left, text }) => [
    svgElement(document, {
      tag: "path",
      attributes: {
        d: `M${xOf(change.bar)} ${line * LABEL_LINE + 4}V${lines * LABEL_LINE + 2}`,
        stroke: CHANGE,
        "stroke-opacity": 0.5,
      },
    }),
    svgText(document, {
      text,
      x: left,
      y: line * LABEL_LINE + 12,
      size: LABEL_SIZE,
      halo: true,
      title: `bar ${change.barNumber}: ${change.what}`,
    }),
  ]);
  const changeHeight = 70;
  const curve = freshness.perBar.flatMap((b) => [
    { x: b.bar, y: b.freshness },
    { x: b.bar + 1, y: b.freshness },
  ]);
  const { whole } = freshness;
  return barsFrame(document, {
    name: NAME,
    width,
    title,
    label:
      `Freshness along ${counted(freshness.perBar.length, "bar")}, ${
        whole.freshness.toFixed(2)
      } on average, with ` +
      counted(freshness.changes.length, "change point"),
    legend: [
      { sign: { drawn: curveSign(document) }, label: "freshness" },
      ...(freshness.changes.length > 0
        ? [{
          sign: { drawn: changeSign(document) },
          label: "change point: the larger the dot, the more changes",
        }]
        : []),
      ...(freshness.expected.length > 0
        ? [{ sign: { drawn: expectedSign(document) }, label: "a change would be expected, and none comes" }]
        : []),
    ],
    axis,
    marginLeft: MARGIN_LEFT,
    panels: [
      ...(lines === 0 ? [] : [{
        heading: named.length < freshness.changes.length
          ? "what changes: the largest changes"
          : "what changes",
        height: lines * LABEL_LINE + 2,
        domain: [0, 1] as const,
        marks: [],
        over: [svgElement(document, { tag: "g", attributes: { "aria-label": "changes" }, children: labels })],
      }]),
      {
        heading: "freshness: 1 just after a thorough change, sinking towards 0 while nothing changes",
        height: Math.max(60, height - changeHeight),
        domain: [0, 1.06],
        marks: [
          ...valueAxis({ bottom: 0, top: 1, height: height - changeHeight }),
          Plot.areaY(curve, { x: "x", y1: 0, y2: "y", fill: CURVE, fillOpacity: 0.16, ...namedMark("area") }),
          Plot.line(curve, { x: "x", y: "y", stroke: CURVE, strokeWidth: 1.8, ...namedMark("curve") }),
          Plot.ruleX(freshness.changes, {
            x: (c: FreshnessChange) => c.bar,
            stroke: CHANGE,
            strokeOpacity: freshness.changes.length > 40 ? 0.2 : 0.5,
            ...namedMark("change-lines"),
          }),
          Plot.dot(freshness.changes, {
            x: (c: FreshnessChange) => c.bar,
            y: 1,
            r: (c: FreshnessChange) => 2.5 + 3.5 * c.change,
            fill: CHANGE,
            title: (c: FreshnessChange) => `bar ${c.barNumber}: ${c.what}`,
            ...namedMark("change-points"),
          }),
          Plot.dot(freshness.expected, {
            x: (e: FreshnessExpected) => e.bar,
            y: 0.07,
            r: 5,
            symbol: "triangle",
            stroke: CHANGE,
            strokeWidth: 1.5,
            fill: "none",
            title: (e: FreshnessExpected) =>
              `bar ${e.barNumber}: a change would be expected here, after ${
                counted(e.bar - e.fromBar, "bar")
              } of ` +
              `${e.bars} without one`,
            ...namedMark("expected"),
          }),
          Plot.rect(freshness.perBar, {
            x1: (b: FreshnessBar) => b.bar,
            x2: (b: FreshnessBar) => b.bar + 1,
            y1: () => 0,
            y2: () => 1,
            fill: "transparent",
            title: (b: FreshnessBar) =>
              `bar ${b.barNumber}: freshness ${b.freshness.toFixed(2)}, ${
                counted(b.barsSinceChange, "bar")
              } since a change` +
              (b.lead === "" ? "" : `, led by ${b.lead}`),
            ...namedMark("bars"),
          }),
        ],
      },
      {
        heading: "how much changes at each bar line: 0 nothing, 1 everything",
        height: changeHeight - 20,
        domain: [0, 1],
        marks: [
          ...valueAxis({ bottom: 0, top: 1, height: changeHeight }),
          Plot.ruleX(freshness.perBar.filter((b) => b.change > 0), {
            x: (b: FreshnessBar) => b.bar,
            y1: 0,
            y2: (b: FreshnessBar) => b.change,
            stroke: CHANGE,
            strokeWidth: Math.max(1, Math.min(4, pixelsPerBar * 0.5)),
            title: (b: FreshnessBar) => `bar ${b.barNumber}: ${b.change.toFixed(2)}`,
            ...namedMark("changes-per-bar"),
          }),
        ],
      },
    ],
  });
}

/**
 * Finds a line for the names of the change points, so that no name stands on another or on another's stalk; the
 * largest changes come first, and those that find no room are left to the dots.
 */
function nameChanges(
  changes: readonly FreshnessChange[],
  { xOf, right }: { readonly xOf: (bar: number) => number; readonly right: number },
): readonly NamedChange[] {
  const largest = [...changes].sort((a, b) => b.change - a.change || a.bar - b.bar).slice(0, 2 * MOST_LINES);
  const placed: (NamedChange & { readonly x: number; readonly to: number; readonly level: number })[] = [];
  for (const change of largest.sort((a, b) => b.bar - a.bar)) {
    const x = xOf(change.bar);
    const isRoomy = right - x > 140;
    const room = Math.min(LONGEST_LABEL, isRoomy ? right - x - 4 : x - MARGIN_LEFT - 4);
    const text = fitText(`${change.barNumber}: ${change.what}`, LABEL_SIZE, room);
    const wide = textWidth(text, LABEL_SIZE);
    const left = isRoomy ? x + 4 : x - 4 - wide;
    const to = left + wide;
    const isFree = (level: number) =>
      placed.every((other) => {
        const overlaps = other.left - 8 < to && left < other.to + 8;
        const isOnOther = other.x > left - 4 && other.x < to + 4 && level <= other.level;
        const isUnderOther = x > other.left - 4 && x < other.to + 4 && other.level <= level;
        return !(overlaps && other.level === level) && !isOnOther && !isUnderOther;
      });
    const level = Array.from({ length: MOST_LINES }, (_, i) => i).find(isFree);
    if (level !== undefined && text !== "") placed.push({ change, text, left, line: 0, x, to, level });
  }
  const highest = Math.max(0, ...placed.map((p) => p.level));
  return placed.map((p) => ({ ...p, line: highest - p.level }));
}

function curveSign(document: Document): SVGElement {
  return svgElement(document, {
    tag: "path",
    attributes: { d: "M0 14V4L6 8L22 13", fill: "none", stroke: CURVE, "stroke-width": 1.8 },
  });
}

function changeSign(document: Document): SVGElement {
  return svgElement(document, { tag: "circle", attributes: { cx: 11, cy: 8, r: 5, fill: CHANGE } });
}

function expectedSign(document: Document): SVGElement {
  return svgElement(document, {
    tag: "path",
    attributes: { d: "M11 2L16.5 13H5.5Z", fill: "none", stroke: CHANGE, "stroke-width": 1.5 },
  });
}
