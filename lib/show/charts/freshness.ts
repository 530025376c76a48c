import { A_FRESHNESS, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import { namedMark } from "../drawing/named_mark.ts";
import type {
  Freshness,
  FreshnessBar,
  FreshnessChange,
  FreshnessExpected,
  FreshnessPhrase,
} from "../../measures/freshness/freshness_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows } from "../drawing/bar_axis.ts";
import { changeNames, largestFirst, nameOf, type NameRoom } from "../panels/change_names.ts";
import { barBoxes, stepLine, stepsOf } from "../drawing/bar_marks.ts";
import { type BarScale, barScale, MARGIN_LEFT, MARGIN_RIGHT } from "../drawing/bar_scale.ts";
import type { LegendEntry } from "../drawing/frame.ts";
import { type BarPanel, barsFrame } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";
import { hue, INK, PAPER } from "../drawing/theme.ts";
import { freshnessTitle } from "../titles/change_titles.ts";

const NAME = "freshness";
const CURVE = hue("teal");
const CHANGE = hue("wine");
const LABEL_SIZE = 10;
const LABEL_LINE = 15;
const SIDE = 12;
const CHANGE_HEIGHT = 70;
/** Marks of phrases stand at the foot of the curve. */
const PHRASE_TOP = 0.09;
/** Narrower pictures list the changes, at most so many. */
const LISTED_BELOW = 560;
const MOST_LISTED = 10;

/**
 * How lately the orchestration was renewed: a curve that jumps where a change begins a phrase, sinks while nothing happens
 * and is low in phrases that change on the way, with the phrases and the change points marked and named; below it, how
 * much changes at each bar line.
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
  const { width, height = 230, title } = checkedOptions("freshness chart", options);
  const scale = barScale(axisOfRows(freshness.perBar, checkedScore("freshness chart", score)), { width });
  const { changes, perBar, phrases, whole } = freshness;
  const average = `${whole.freshness.toFixed(2)} on average`;
  return barsFrame({
    name: NAME,
    scale,
    title: title ?? freshnessTitle(freshness),
    label: `Freshness along ${counted(perBar.length, "bar")}, ${average}, with ` +
      `${counted(changes.length, "change point")} in ${counted(phrases.length, "phrase")}`,
    legend: legendOf(freshness),
    panels: [
      ...namesPanel(changes, scale),
      curvePanel(freshness, height - CHANGE_HEIGHT),
      changePanel(freshness, scale),
    ],
  });
}

function legendOf({ changes, expected }: Freshness): readonly LegendEntry[] {
  const curve = h("path", { d: "M0 14V4L6 8L22 13", fill: "none", stroke: CURVE, "stroke-width": 1.8 });
  const dot = h("circle", { cx: 11, cy: 8, r: 5, fill: CHANGE });
  const ring = h("circle", { cx: 11, cy: 8, r: 4.5, fill: "none", stroke: CHANGE, "stroke-width": 1.5 });
  const tick = h("path", { d: "M11 3V13", fill: "none", stroke: INK, "stroke-width": 1.5 });
  const triangle = h("path", { d: "M11 2L16.5 13H5.5Z", fill: "none", stroke: CHANGE, "stroke-width": 1.5 });
  const entries: readonly (readonly [shown: boolean, ...LegendEntry])[] = [
    [true, curve, "freshness"],
    [
      changes.some((c) => c.beginsPhrase),
      dot,
      "change with a phrase: the larger, the more",
    ],
    [changes.some((c) => !c.beginsPhrase), ring, "change inside a phrase: renews nothing"],
    [true, tick, "a phrase begins"],
    [expected.length > 0, triangle, "a change would be expected, and none comes"],
  ];
  return entries.flatMap(([shown, sign, label]) => shown ? [[sign, label] as const] : []);
}

/** What changes, in words; no panel where nothing does. */
function namesPanel(changes: readonly FreshnessChange[], { width, xOf }: BarScale): readonly BarPanel[] {
  const named = width < LISTED_BELOW
    ? namesListed(changes, width)
    : namesOnStalks(changes, { xOf, left: MARGIN_LEFT, right: width - MARGIN_RIGHT });
  if (named.height === 0) return [];
  return [{
    heading: named.isWhole ? "what changes" : "what changes: the largest, as far as there is room",
    height: named.height,
    domain: [0, 1],
    marks: [],
    over: [h("g", { "aria-label": "changes" }, ...named.elements)],
  }];
}

/** The curve with the change points on it, and where a change would be expected. */
function curvePanel({ perBar, phrases, changes, expected }: Freshness, height: number): BarPanel {
  const curve = stepsOf(perBar, (b) => b.freshness);
  return {
    heading: "freshness: 1 just after a thorough change where a phrase begins, sinking while nothing changes",
    height: Math.max(60, height),
    domain: [0, 1.06],
    marks: [
      ...valueAxis({ bottom: 0, top: 1, height }),
      Plot.areaY(curve, { x: "x", y1: 0, y2: "y", fill: CURVE, fillOpacity: 0.16, ...namedMark("area") }),
      stepLine("curve", curve, { stroke: CURVE, strokeWidth: 1.8 }),
      changeLines(changes, changes.length > 40 ? 0.2 : 0.5),
      Plot.dot(changes, {
        x: "barIndex",
        y: 1,
        r: (c: FreshnessChange) => 2.5 + 3.5 * c.change,
        fill: (c: FreshnessChange) => c.beginsPhrase ? CHANGE : PAPER,
        stroke: CHANGE,
        title: titleOf,
        ...namedMark("change-points"),
      }),
      Plot.ruleX(phrases, {
        x: "fromBarIndex",
        y1: 0,
        y2: PHRASE_TOP,
        stroke: INK,
        strokeWidth: 1.5,
        title: ({ bar, fromBarIndex, toBarIndex, coherence }: FreshnessPhrase) =>
          `bar ${bar}: a phrase of ${counted(toBarIndex + 1 - fromBarIndex, "bar")}, ${
            coherence === 1 ? "one scoring" : `coherence ${coherence.toFixed(2)}`
          }`,
        ...namedMark("phrases"),
      }),
      Plot.dot(expected, {
        x: "barIndex",
        y: 0.17,
        r: 5,
        symbol: "triangle",
        stroke: CHANGE,
        strokeWidth: 1.5,
        fill: "none",
        title: ({ bar, bars, barIndex, fromBarIndex }: FreshnessExpected) =>
          `bar ${bar}: a change would be expected here, after ${
            counted(barIndex - fromBarIndex, "bar")
          } of ${bars} without one`,
        ...namedMark("expected"),
      }),
      barBoxes("bars", perBar, {
        fill: "transparent",
        title: ({ bar, freshness, barsSinceChange, lead }) =>
          `bar ${bar}: freshness ${freshness.toFixed(2)}, ${counted(barsSinceChange, "bar")} since a change` +
          (lead === "" ? "" : `, led by ${lead}`),
      }),
    ],
  };
}

function changeLines(changes: readonly FreshnessChange[], strokeOpacity: number): Plot.Markish {
  return Plot.ruleX(changes, { x: "barIndex", stroke: CHANGE, strokeOpacity, ...namedMark("change-lines") });
}

const titleOf = ({ bar, what }: FreshnessChange) => `bar ${bar}: ${what}`;

/** How much changes at each bar line. */
function changePanel({ perBar }: Freshness, { pixelsPerBar }: BarScale): BarPanel {
  return {
    heading: "how much changes at each bar line: 0 nothing, 1 everything",
    height: CHANGE_HEIGHT - 20,
    domain: [0, 1],
    marks: [
      ...valueAxis({ bottom: 0, top: 1, height: CHANGE_HEIGHT }),
      Plot.ruleX(perBar.filter((b) => b.change > 0), {
        x: "barIndex",
        y1: 0,
        y2: "change",
        stroke: CHANGE,
        strokeWidth: Math.max(1, Math.min(4, pixelsPerBar * 0.5)),
        title: (b: FreshnessBar) => `bar ${b.bar}: ${b.change.toFixed(2)}`,
        ...namedMark("changes-per-bar"),
      }),
    ],
  };
}

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
        title: titleOf(change),
      })
    ),
  ]);
  return { elements, height: named.length === 0 ? 0 : height, isWhole: named.length === changes.length };
}

/** In narrow pictures names have no room beside stalks: they stand one below the other, by bar. */
function namesListed(changes: readonly FreshnessChange[], width: number): ChangeWords {
  const shown = largestFirst(changes).slice(0, MOST_LISTED).sort((a, b) => a.barIndex - b.barIndex);
  let y = 0;
  const elements = shown.flatMap((change) =>
    nameOf(change, { size: LABEL_SIZE, wide: width - 2 * SIDE, most: 2 }).map((text, i) => {
      y += i === 0 ? LABEL_LINE : LABEL_LINE - 2;
      return svgText({ text, x: SIDE, y: y - 3, size: LABEL_SIZE, title: titleOf(change) });
    })
  );
  return { elements, height: y === 0 ? 0 : y + 4, isWhole: shown.length === changes.length };
}
