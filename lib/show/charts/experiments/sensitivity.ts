import { capitalised } from "../../../base/words.ts";
import * as Plot from "@observablehq/plot";
// @ts-types="@types/d3-array"
import { ticks } from "d3-array";
import { A_TEXT, A_WHOLE } from "../../../base/arguments.ts";
import type { RankedMeasure, Sensitivity, SensitivityRow } from "../../../measures/compare/sensitivity.ts";
import { cannotDraw, type ChartOptions, checkedOptions } from "../../drawing/chart_options.ts";
import { columnWords } from "../../drawing/column_words.ts";
import { chartFrame, type FrameBlock } from "../../drawing/frame.ts";
import { namedMark } from "../../drawing/named_mark.ts";
import { plotBlock } from "../../drawing/plot_block.ts";
import { headWords, rowNames } from "../../drawing/plot_texts.ts";
import { outlined } from "../../drawing/signs.ts";
import { type Chart, h } from "../../drawing/svg.ts";
import { fittingText, textWidth } from "../../drawing/text_width.ts";
import { levelAxis, tickFigures } from "../../drawing/value_axis.ts";
import { counted, figure, percent } from "../../drawing/words.ts";
import { hue } from "../../drawing/theme.ts";

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
const FILL = hue("teal");
const FLIP = hue("crimson");
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
  const { width, height, title, measure, most = 14 } = checkedOptions("sensitivity chart", options, {
    measure: A_TEXT,
    most: A_WHOLE,
  });
  const ranking = rankingOf(sensitivity, measure);
  const { usual, isLead, name, constants, flips } = ranking;
  const shown = constants.filter((c) => c.reach >= 0.0005).slice(0, Math.max(1, most));
  const left = constants.length - shown.length;
  const by = percent(sensitivity.by);
  const changes = shown.slice(0, 6).map((c) =>
    `${columnWords(c.constant)} ${c.rows.map((r) => inPercent(r.at)).join(" to ")}`
  );
  return chartFrame({
    name: NAME,
    width,
    title: title ?? titleOf(ranking),
    note: `Each constant by itself ${by} lower and higher. ${verdictOf(ranking)}${
      left === 0 ? "" : ` ${counted(left, "more constant")} ${left === 1 ? "matters" : "matter"} less.`
    }`,
    label: `${
      isLead ? `Lead of ${usual.first} by ${name}, usually ${inPercent(ranking.middle)}` : `Change of ${name}`
    }: ${changes.join(", ") || "no constant matters"}`,
    legend: [
      [outlined(look(false)), `constant ${by} lower`],
      [outlined(look(true)), `constant ${by} higher`],
      ...(flips === 0 ? [] : [[flipMark({ x: 11, y: 8 }), "another setting comes first"] as const]),
    ],
    blocks: [tornado(ranking, shown, {
      width,
      rowHeight: height === undefined ? ROW : Math.max(14, (height - HEAD - 24) / Math.max(1, shown.length)),
    })],
  });
}

/** A row with its place on the scale. */
type RowAt = SensitivityRow & { readonly at: number };

interface MovedConstant {
  readonly constant: string;
  readonly rows: readonly RowAt[];
  readonly reach: number;
}

/** What the chart shows: by how much the first is ahead, or of one setting how its value changes. */
interface Ranking {
  readonly usual: Sensitivity["usual"][number];
  readonly isLead: boolean;
  /** The measure in words. */
  readonly name: string;
  /** The usual place. */
  readonly middle: number;
  /** The constants, those that matter most first. */
  readonly constants: readonly MovedConstant[];
  /** How many changes put another setting first. */
  readonly flips: number;
}

function rankingOf(sensitivity: Sensitivity, wanted: RankedMeasure | undefined): Ranking {
  if (!Array.isArray(sensitivity?.rows) || !Array.isArray(sensitivity.usual)) {
    throw cannotDraw(
      "sensitivity chart",
      "it was not given a sensitivity",
      "Give what sensitivity() returns",
    );
  }
  const measure = wanted ?? sensitivity.usual[0]?.measure;
  const usual = sensitivity.usual.find((u) => u.measure === measure);
  if (usual === undefined) {
    const measures = sensitivity.usual.map((u) => u.measure).join(", ");
    throw cannotDraw("sensitivity chart", `the ranking by "${measure}" was not looked at`, `Use ${measures}`);
  }
  const isLead = usual.lead !== null;
  const middle = usual.lead ?? 0;
  const rows = sensitivity.rows.filter((r) => r.measure === measure)
    .map((row): RowAt => ({ ...row, at: isLead ? row.lead! : row.level - 1 }));
  const constants = [...Map.groupBy(rows, (r) => r.constant)].map(([constant, own]) => ({
    constant,
    rows: own,
    reach: Math.max(...own.map((r) => Math.abs(r.at - middle))),
  }));
  return {
    usual,
    isLead,
    name: columnWords(usual.measure),
    middle,
    constants: constants.sort((a, b) => b.reach - a.reach),
    flips: rows.filter((r) => r.isFirstChanged).length,
  };
}

/** Whether the first place stands, or what a single value hangs on most. */
function titleOf({ isLead, flips, usual, name, constants, middle }: Ranking): string {
  const [most] = constants;
  if (!isLead) {
    if (most === undefined || most.reach < 0.0005) {
      return `${capitalised(name)} hangs on none of these constants`;
    }
    const at = most.rows.map((r) => r.at).toSorted((a, b) => a - b);
    return `${capitalised(name)} hangs most on ${columnWords(most.constant)}: ${inPercent(at[0]!)} to ${
      inPercent(at.at(-1)!)
    }`;
  }
  const ahead = `“${usual.first}” comes first by ${name}, ${inPercent(middle)} ahead`;
  return flips === 0 ? `${ahead}, whichever constant moves` : `${ahead}, but not whichever constant moves`;
}

function verdictOf({ isLead, flips, usual }: Ranking): string {
  if (!isLead) return "One setting: how much its value changes.";
  if (flips > 0) return `Fragile: ${counted(flips, "change")} would put another setting first.`;
  return `“${usual.first}” stays first whichever constant moves; the order would turn at 0\u00a0%.`;
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
  const d = `M${x - 5} ${y - 5}l10 10m0 -10l-10 10`;
  return h("path", { d, stroke: FLIP, "stroke-width": 2, class: "flip" });
}

/** What the scale says, in several wordings, the longest first. */
function headingsOf({ isLead, usual }: Ranking): readonly string[] {
  if (!isLead) return ["change of the value, in percent"];
  return [
    `by how much “${usual.first}” is ahead of the next setting, in percent`,
    `how far “${usual.first}” is ahead, in percent`,
    "how far the first is ahead, in percent",
  ];
}

/** Room for the figures at both ends, in pixels. */
const END_ROOM = 46;

function tornado(
  ranking: Ranking,
  shown: readonly MovedConstant[],
  { width, rowHeight }: { readonly width: number; readonly rowHeight: number },
): FrameBlock {
  const headings = headingsOf(ranking);
  const heading = fittingText(headings, 11, width - 2 * SIDE);
  const widest = Math.max(60, ...shown.map((c) => textWidth(columnWords(c.constant), 11)));
  const nameRoom = Math.min(width * 0.3, widest + 14);
  const left = SIDE + nameRoom + END_ROOM;
  const { domain, showsZero } = scaleOf(ranking, shown);
  const most = Math.max(2, Math.min(6, Math.floor((width - left - END_ROOM - SIDE) / 60)));
  const percents = ticks(domain[0] * 100 - 1e-6, domain[1] * 100 + 1e-6, most);
  const write = tickFigures(percents);
  const end = shown.length * rowHeight + 4;
  return plotBlock({
    width,
    height: HEAD + end + 22,
    marginLeft: left,
    marginRight: END_ROOM + SIDE,
    marginTop: HEAD - 4,
    marginBottom: 22,
    x: { domain },
    y: { domain: [end, -4] },
    marks: [
      headWords(heading, {
        dx: Math.max(SIDE, Math.min(left, width - SIDE - textWidth(heading, 11))) - left,
        dy: 16 - HEAD,
        opacity: 0.72,
        title: headings[0]!,
      }),
      ...levelAxis(percents.map((p) => p / 100), (v) => `${write(v * 100)} %`),
      Plot.ruleX(showsZero ? [0] : [], { stroke: FLIP, strokeWidth: 1.5, strokeDasharray: "5 3" }),
      headWords(shown.length === 0 ? "no constant matters here" : "", { dx: SIDE - left, dy: 8 }),
      rowNames(shown, {
        y: (_, i) => (i + 0.5) * rowHeight,
        nameOf: (c) => columnWords(c.constant),
        titleOf: (c) => c.constant,
        room: nameRoom - 8,
        before: END_ROOM + 8,
      }),
      ...tornadoBars(ranking, shown, rowHeight),
    ],
  });
}

/**
 * The ends of the scale. One narrower than a few percent would make much of nothing; zero, where the order turns, is shown
 * when it is near.
 */
function scaleOf(
  { middle, isLead }: Ranking,
  shown: readonly MovedConstant[],
): { readonly domain: readonly [number, number]; readonly showsZero: boolean } {
  const values = [middle, ...shown.flatMap((c) => c.rows.map((r) => r.at))];
  const [least, greatest] = [Math.min(...values), Math.max(...values)];
  const reach = greatest - least;
  const slack = Math.max(0, LEAST_REACH - reach) / 2;
  const showsZero = isLead && least < Math.max(reach, LEAST_REACH);
  const zero = showsZero ? [0] : [];
  return { domain: [Math.min(least - slack, ...zero), Math.max(greatest + slack, ...zero)], showsZero };
}

/** A row with its edges in pixels. */
interface TornadoRow extends RowAt {
  readonly upper: number;
  readonly lower: number;
  readonly centre: number;
}

/** Bars from the usual place; both directions on one side would hide each other, so each has half the height. */
function tornadoBars(
  { middle }: Ranking,
  shown: readonly MovedConstant[],
  rowHeight: number,
): readonly Plot.Markish[] {
  const half = (rowHeight - 6) / 2;
  const bars = shown.flatMap(({ rows }, i) =>
    rows.map((row): TornadoRow => {
      const top = i * rowHeight + 3 + (row.factor > 1 ? half : 0);
      return { ...row, upper: top + 0.75, lower: top + Math.max(2.75, half - 0.75), centre: top + half / 2 };
    })
  );
  const flips = (isRight: boolean) =>
    Plot.dot(bars.filter((b) => b.isFirstChanged && b.at >= middle === isRight), {
      x: "at",
      y: "centre",
      dx: isRight ? 9 : -9,
      symbol: "times",
      r: 4.5,
      stroke: FLIP,
      strokeWidth: 2,
      ...namedMark("flips"),
    });
  return [
    Plot.rect(bars, {
      x1: middle,
      x2: "at",
      y1: "upper",
      y2: "lower",
      fill: (b: TornadoRow) => look(b.factor > 1).fill,
      stroke: FILL,
      strokeWidth: 1.5,
      title: hoverOf,
      ...namedMark("bars"),
    }),
    flips(true),
    flips(false),
    Plot.ruleX([middle], { strokeOpacity: 0.8, ...namedMark("usual") }),
  ];
}

function hoverOf({ constant, value, usual, unit, at, isFirstChanged, first }: TornadoRow): string {
  const exact = (v: number) => figure(v, 3).replace(/\.?0+$/, "");
  return `${constant} at ${exact(value)} instead of ${exact(usual)} ${unit === "1" ? "" : unit}: ` +
    `${figure(at * 100, 1)} %${isFirstChanged ? `, ${first} comes first` : ""}`;
}
