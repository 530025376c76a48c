import * as Plot from "@observablehq/plot";
// @ts-types="@types/d3-array"
import { ticks } from "d3-array";
import { A_TEXT, A_WHOLE } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import type { RankedMeasure, Sensitivity, SensitivityRow } from "../../measures/compare/sensitivity.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { columnWords } from "../drawing/column_words.ts";
import { chartFrame, type FrameBlock } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { plotBlock } from "../drawing/plot_block.ts";
import { headWords, rowNames } from "../drawing/plot_texts.ts";
import { outlined } from "../drawing/signs.ts";
import { type Chart, h } from "../drawing/svg.ts";
import { fittingText, textWidth } from "../drawing/text_width.ts";
import { levelAxis, tickFigures } from "../drawing/value_axis.ts";
import { counted, figure, percent } from "../drawing/words.ts";

/** Options of {@linkcode sensitivityChart}. */
export interface SensitivityChartOptions extends ChartOptions {
  /** Whose ranking is shown; by default the first that was looked at. */
  readonly measure?: RankedMeasure;
  /** Most constants shown, those that matter most; the rest is counted. @default {14} */
  readonly most?: number;
}

const NAME = "sensitivity";
const SIDE = 12;
const ROW = 24;
const HEAD = 34;
/** A higher constant is drawn full, a lower one as an outline, so that colour is not needed. */
const FILL = "#2f6a66";
const FLIP = "#c2183f";
/** Least width of the scale, as a share. */
const LEAST_REACH = 0.04;

/**
 * A tornado: how far ahead the setting that comes first is when each constant is lowered or raised, the constants that
 * matter most on top. The line in the middle is the usual lead; a bar that crosses zero, marked there, puts another
 * setting first. With one setting, how much its value changes.
 *
 * @param sensitivity what `sensitivity` returns
 * @param options measure, how many constants; width, height, title
 * @returns the chart
 * @throws {InputError} when it is something else, the measure was not looked at, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise, sensitivity } from "ripieno";
 * import { chartSvg, sensitivityChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const { moving, rotating } = demoPlans();
 * const scores = [moving, rotating].map((plan) => realise(demoSketch(), plan));
 * const found = sensitivity(scores, { measures: ["freshness"], constants: ["halfLifeBars"] });
 * assertStringIncludes(chartSvg(sensitivityChart(found)), "half life bars");
 * ```
 */
export function sensitivityChart(sensitivity: Sensitivity, options: SensitivityChartOptions = {}): Chart {
  const { width, height, title, measure: wanted, most = 14 } = checkedOptions("sensitivity chart", options, {
    measure: A_TEXT,
    most: A_WHOLE,
  });
  const refuse = (problem: string, remedy: string) =>
    new InputError({ action: "draw the sensitivity chart", problem, remedy });
  if (!Array.isArray(sensitivity?.rows) || !Array.isArray(sensitivity.usual)) {
    throw refuse("it was not given a sensitivity", "Give what sensitivity() returns");
  }
  const measure = wanted ?? sensitivity.usual[0]?.measure;
  const usual = sensitivity.usual.find((u) => u.measure === measure);
  if (usual === undefined) {
    throw refuse(
      `the ranking by "${measure}" was not looked at`,
      `Use ${sensitivity.usual.map((u) => u.measure).join(", ")}`,
    );
  }
  const isLead = usual.lead !== null;
  const valueOf = (row: SensitivityRow) => isLead ? row.lead! : row.level - 1;
  const middle = usual.lead ?? 0;
  const all = [...Map.groupBy(sensitivity.rows.filter((r) => r.measure === measure), (r) => r.constant)]
    .map(([constant, rows]) => ({
      constant,
      rows,
      reach: Math.max(...rows.map((r) => Math.abs(valueOf(r) - middle))),
    }))
    .sort((a, b) => b.reach - a.reach);
  const shown = all.filter((c) => c.reach >= 0.0005).slice(0, Math.max(1, most));
  const left = all.length - shown.length;
  const by = percent(sensitivity.by);
  const name = columnWords(usual.measure);
  const flips = sensitivity.rows.filter((r) => r.measure === measure && r.isFirstChanged);
  const verdict = !isLead
    ? "One setting: how much its value changes."
    : flips.length === 0
    ? `“${usual.first}” stays first whichever constant moves; the order would turn at 0\u00a0%.`
    : `Fragile: ${counted(flips.length, "change")} would put another setting first.`;
  return chartFrame({
    name: NAME,
    width,
    title: title ?? (isLead ? `Does the ranking by ${name} hang on a constant?` : `What ${name} hangs on`),
    note: `Each constant by itself ${by} lower and higher. ${verdict}${
      left === 0 ? "" : ` ${counted(left, "more constant")} ${left === 1 ? "matters" : "matter"} less.`
    }`,
    label: `${
      isLead ? `Lead of ${usual.first} by ${name}, usually ${inPercent(middle)}` : `Change of ${name}`
    }: ${
      shown.slice(0, 6).map((c) =>
        `${columnWords(c.constant)} ${c.rows.map((r) => inPercent(valueOf(r))).join(" to ")}`
      )
        .join(", ") || "no constant matters"
    }`,
    legend: [
      [outlined(look(false)), `constant ${by} lower`],
      [outlined(look(true)), `constant ${by} higher`],
      ...(flips.length === 0 ? [] : [[flipMark({ x: 11, y: 8 }), "another setting comes first"] as const]),
    ],
    blocks: [tornado({
      shown,
      valueOf,
      middle,
      width,
      rowHeight: height === undefined ? ROW : Math.max(14, (height - HEAD - 24) / Math.max(1, shown.length)),
      heading: isLead
        ? [
          `by how much “${usual.first}” is ahead of the next setting, in percent`,
          `how far “${usual.first}” is ahead, in percent`,
          "how far the first is ahead, in percent",
        ]
        : ["change of the value, in percent"],
      isLead,
    })],
  });
}

/** A share in percent, which may be negative. */
function inPercent(share: number): string {
  return `${figure(share * 100, 0)}\u00a0%`;
}

function look(isHigher: boolean): Readonly<Record<string, string | number>> {
  return { fill: isHigher ? FILL : "none", stroke: FILL, "stroke-width": 1.5 };
}

/** A cross where the first place changes. */
function flipMark({ x, y }: { readonly x: number; readonly y: number }): SVGElement {
  return h("path", {
    d: `M${x - 5} ${y - 5}l10 10m0 -10l-10 10`,
    stroke: FLIP,
    "stroke-width": 2,
    class: "flip",
  });
}

interface TornadoInput {
  readonly shown: readonly { readonly constant: string; readonly rows: readonly SensitivityRow[] }[];
  readonly valueOf: (row: SensitivityRow) => number;
  readonly middle: number;
  readonly width: number;
  readonly rowHeight: number;
  /** What is drawn, in several wordings, the longest first. */
  readonly heading: readonly string[];
  readonly isLead: boolean;
}

function tornado(input: TornadoInput): FrameBlock {
  const { shown, valueOf, middle, width, rowHeight, isLead } = input;
  const heading = fittingText(input.heading, 11, width - 2 * SIDE);
  const nameRoom = Math.min(
    width * 0.3,
    Math.max(60, ...shown.map((c) => textWidth(columnWords(c.constant), 11))) + 14,
  );
  const endRoom = 46;
  const left = SIDE + nameRoom + endRoom;
  const values = [middle, ...shown.flatMap((c) => c.rows.map(valueOf))];
  // A scale narrower than a few percent would make much of nothing; zero, where the order turns, is shown when it is near.
  const reach = Math.max(...values) - Math.min(...values);
  const slack = Math.max(0, LEAST_REACH - reach) / 2;
  const showsZero = isLead && Math.min(...values) < Math.max(reach, LEAST_REACH);
  const lowest = Math.min(...values.map((v) => v - slack), ...(showsZero ? [0] : []));
  const highest = Math.max(...values.map((v) => v + slack), ...(showsZero ? [0] : []));
  const most = Math.max(2, Math.min(6, Math.floor((width - left - endRoom - SIDE) / 60)));
  const percents = ticks(lowest * 100 - 1e-6, highest * 100 + 1e-6, most);
  const write = tickFigures(percents);
  const end = shown.length * rowHeight + 4;
  // Both directions on one side would hide each other: each has half the height.
  const half = (rowHeight - 6) / 2;
  const bars = shown.flatMap(({ rows }, i) =>
    rows.map((row) => ({ ...row, at: valueOf(row), top: i * rowHeight + 3 + (row.factor > 1 ? half : 0) }))
  );
  const flips = (isRight: boolean) =>
    Plot.dot(bars.filter((b) => b.isFirstChanged && b.at >= middle === isRight), {
      x: "at",
      y: (b: PlacedRow) => b.top + half / 2,
      dx: isRight ? 9 : -9,
      symbol: "times",
      r: 4.5,
      stroke: FLIP,
      strokeWidth: 2,
      ...namedMark("flips"),
    });
  return plotBlock({
    width,
    height: HEAD + end + 22,
    marginLeft: left,
    marginRight: endRoom + SIDE,
    marginTop: HEAD - 4,
    marginBottom: 22,
    x: { domain: [lowest, highest] },
    y: { domain: [end, -4] },
    marks: [
      headWords(heading, {
        dx: Math.max(SIDE, Math.min(left, width - SIDE - textWidth(heading, 11))) - left,
        dy: 16 - HEAD,
        opacity: 0.72,
        title: input.heading[0]!,
      }),
      ...levelAxis(percents.map((p) => p / 100), (v) => `${write(v * 100)} %`),
      Plot.ruleX(showsZero ? [0] : [], { stroke: FLIP, strokeWidth: 1.5, strokeDasharray: "5 3" }),
      headWords(shown.length === 0 ? "no constant matters here" : "", { dx: SIDE - left, dy: 8 }),
      rowNames(shown, {
        y: (_, i) => (i + 0.5) * rowHeight,
        nameOf: (c) => columnWords(c.constant),
        titleOf: (c) => c.constant,
        room: nameRoom - 8,
        before: endRoom + 8,
      }),
      Plot.rect(bars, {
        x1: middle,
        x2: "at",
        y1: (b: PlacedRow) => b.top + 0.75,
        y2: (b: PlacedRow) => b.top + Math.max(2.75, half - 0.75),
        fill: (b: PlacedRow) => look(b.factor > 1).fill,
        stroke: FILL,
        strokeWidth: 1.5,
        title: hoverOf,
        ...namedMark("bars"),
      }),
      flips(true),
      flips(false),
      Plot.ruleX([middle], { strokeOpacity: 0.8, ...namedMark("usual") }),
    ],
  });
}

/** A row with its value and its upper edge. */
type PlacedRow = SensitivityRow & { readonly at: number; readonly top: number };

function hoverOf({ constant, value, usual, unit, at, isFirstChanged, first }: PlacedRow): string {
  const exact = (v: number) => figure(v, 3).replace(/\.?0+$/, "");
  return `${constant} at ${exact(value)} instead of ${exact(usual)} ${unit === "1" ? "" : unit}: ` +
    `${figure(at * 100, 1)} %${isFirstChanged ? `, ${first} comes first` : ""}`;
}
