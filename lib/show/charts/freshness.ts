import { A_FRESHNESS, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import { namedMark } from "../drawing/named_mark.ts";
import type {
  Freshness,
  FreshnessBar,
  FreshnessChange,
  FreshnessExpected,
} from "../../measures/freshness/freshness_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows } from "../drawing/bar_axis.ts";
import { changeNames, nameOf, type NameRoom } from "../panels/change_names.ts";
import { barsFrame, barsWidth, MARGIN_RIGHT } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";
import { hue } from "../drawing/theme.ts";

const NAME = "freshness";
const MARGIN_LEFT = 52;
const CURVE = hue("teal");
const CHANGE = hue("wine");
const LABEL_SIZE = 10;
const LABEL_LINE = 15;
const SIDE = 12;
/** Narrower pictures list the changes, at most so many. */
const LISTED_BELOW = 560;
const MOST_LISTED = 10;

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
 * import { demoScore, freshness } from "ripieno";
 * import { chartSvg, freshnessChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = freshnessChart(freshness(demoScore()), demoScore());
 * assertStringIncludes(chartSvg(chart), "freshness");
 * ```
 */
export function freshnessChart(freshness: Freshness, score?: Score, options: ChartOptions = {}): Chart {
  checkArgument("draw the freshness chart", freshness, A_FRESHNESS);
  const { width, height = 230, title = "Freshness" } = checkedOptions("freshness chart", options);
  const axis = axisOfRows(freshness.perBar, checkedScore("freshness chart", score));
  const bars = barsWidth({ width, marginLeft: MARGIN_LEFT });
  const pixelsPerBar = bars / Math.max(1, freshness.perBar.length);
  const xOf = (bar: number) => MARGIN_LEFT + (bar - axis.fromBarIndex) * pixelsPerBar;
  const named = width < LISTED_BELOW
    ? namesListed(freshness.changes, width)
    : namesOnStalks(freshness.changes, { xOf, left: MARGIN_LEFT, right: width - MARGIN_RIGHT });
  const changeHeight = 70;
  const curve = freshness.perBar.flatMap((b) => [
    { x: b.barIndex, y: b.freshness },
    { x: b.barIndex + 1, y: b.freshness },
  ]);
  const { whole } = freshness;
  return barsFrame({
    name: NAME,
    width,
    title,
    label:
      `Freshness along ${counted(freshness.perBar.length, "bar")}, ${
        whole.freshness.toFixed(2)
      } on average, with ` +
      counted(freshness.changes.length, "change point"),
    legend: [
      { sign: { drawn: curveSign() }, label: "freshness" },
      ...(freshness.changes.length > 0
        ? [{
          sign: { drawn: changeSign() },
          label: "change point: the larger the dot, the more changes",
        }]
        : []),
      ...(freshness.expected.length > 0
        ? [{ sign: { drawn: expectedSign() }, label: "a change would be expected, and none comes" }]
        : []),
    ],
    axis,
    marginLeft: MARGIN_LEFT,
    panels: [
      ...(named.height === 0 ? [] : [{
        heading: named.isWhole ? "what changes" : "what changes: the largest changes",
        height: named.height,
        domain: [0, 1] as const,
        marks: [],
        over: [
          h("g", { "aria-label": "changes" }, ...named.elements),
        ],
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
            x: (c: FreshnessChange) => c.barIndex,
            stroke: CHANGE,
            strokeOpacity: freshness.changes.length > 40 ? 0.2 : 0.5,
            ...namedMark("change-lines"),
          }),
          Plot.dot(freshness.changes, {
            x: (c: FreshnessChange) => c.barIndex,
            y: 1,
            r: (c: FreshnessChange) => 2.5 + 3.5 * c.change,
            fill: CHANGE,
            title: (c: FreshnessChange) => `bar ${c.bar}: ${c.what}`,
            ...namedMark("change-points"),
          }),
          Plot.dot(freshness.expected, {
            x: (e: FreshnessExpected) => e.barIndex,
            y: 0.07,
            r: 5,
            symbol: "triangle",
            stroke: CHANGE,
            strokeWidth: 1.5,
            fill: "none",
            title: (e: FreshnessExpected) =>
              `bar ${e.bar}: a change would be expected here, after ${
                counted(e.barIndex - e.fromBarIndex, "bar")
              } of ` +
              `${e.bars} without one`,
            ...namedMark("expected"),
          }),
          Plot.rect(freshness.perBar, {
            x1: (b: FreshnessBar) => b.barIndex,
            x2: (b: FreshnessBar) => b.barIndex + 1,
            y1: () => 0,
            y2: () => 1,
            fill: "transparent",
            title: (b: FreshnessBar) =>
              `bar ${b.bar}: freshness ${b.freshness.toFixed(2)}, ${
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
            x: (b: FreshnessBar) => b.barIndex,
            y1: 0,
            y2: (b: FreshnessBar) => b.change,
            stroke: CHANGE,
            strokeWidth: Math.max(1, Math.min(4, pixelsPerBar * 0.5)),
            title: (b: FreshnessBar) => `bar ${b.bar}: ${b.change.toFixed(2)}`,
            ...namedMark("changes-per-bar"),
          }),
        ],
      },
    ],
  });
}

/** What is written about the change points. */
interface ChangeWords {
  readonly elements: readonly SVGElement[];
  readonly height: number;
  /** Whether every change is named. */
  readonly isWhole: boolean;
}

/** Names beside stalks that go down to the curve. */
function namesOnStalks(changes: readonly FreshnessChange[], room: Omit<NameRoom, "size">): ChangeWords {
  const named = changeNames(changes, { ...room, size: LABEL_SIZE });
  const count = Math.max(0, ...named.map((n) => n.line + n.lines.length));
  const height = count * LABEL_LINE + 2;
  const elements = named.flatMap(({ change, line, left, lines }) => [
    h("path", {
      d: `M${room.xOf(change.barIndex)} ${line * LABEL_LINE + 4}V${height}`,
      stroke: CHANGE,
      "stroke-opacity": 0.5,
    }),
    ...lines.map((text, i) =>
      svgText({
        text,
        x: left,
        y: (line + i) * LABEL_LINE + 12,
        size: LABEL_SIZE,
        halo: true,
        title: `bar ${change.bar}: ${change.what}`,
      })
    ),
  ]);
  return { elements, height: named.length === 0 ? 0 : height, isWhole: named.length === changes.length };
}

/** In narrow pictures names have no room beside stalks: they stand one below the other, by bar. */
function namesListed(changes: readonly FreshnessChange[], width: number): ChangeWords {
  const shown = [...changes].sort((a, b) => b.change - a.change || a.barIndex - b.barIndex).slice(
    0,
    MOST_LISTED,
  )
    .sort((a, b) => a.barIndex - b.barIndex);
  let y = 0;
  const elements = shown.flatMap((change) =>
    nameOf(change, { size: LABEL_SIZE, wide: width - 2 * SIDE, most: 2 }).map((text, i) => {
      y += i === 0 ? LABEL_LINE : LABEL_LINE - 2;
      return svgText({
        text,
        x: SIDE,
        y: y - 3,
        size: LABEL_SIZE,
        title: `bar ${change.bar}: ${change.what}`,
      });
    })
  );
  return { elements, height: y === 0 ? 0 : y + 4, isWhole: shown.length === changes.length };
}

function curveSign(): SVGElement {
  return h("path", { d: "M0 14V4L6 8L22 13", fill: "none", stroke: CURVE, "stroke-width": 1.8 });
}

function changeSign(): SVGElement {
  return h("circle", { cx: 11, cy: 8, r: 5, fill: CHANGE });
}

function expectedSign(): SVGElement {
  return h("path", { d: "M11 2L16.5 13H5.5Z", fill: "none", stroke: CHANGE, "stroke-width": 1.5 });
}
