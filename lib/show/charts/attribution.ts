import * as Plot from "@observablehq/plot";
// @ts-types="@types/d3-array"
import { ticks } from "d3-array";
import { AN_ATTRIBUTION, checkArgument } from "../../base/arguments.ts";
import type { Attribution, AttributionRow, SharedBy } from "../../measures/momentum/momentum_results.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartFrame, type FrameBlock, type LegendEntry, roleFill } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { plotBlock } from "../drawing/plot_block.ts";
import { rowNames } from "../drawing/plot_texts.ts";
import { type Chart, h } from "../drawing/svg.ts";
import { textWidth } from "../drawing/text_width.ts";
import { hue, PAPER } from "../drawing/theme.ts";
import { levelAxis, niceTop } from "../drawing/value_axis.ts";
import { percent } from "../drawing/words.ts";
import { attributionTitle } from "../titles/motion_titles.ts";

const NAME = "attribution";
const SIDE = 12;
const ROW = 30;
const AXIS = 26;
const FIGURES = 96;
const MOST_ROWS = 24;
/** Members that add less are summed up in the note. */
const LEAST_SHARE = 0.005;
const FILL = hue("blue");

/** One member, and several. */
const MEMBERS: Readonly<Record<SharedBy, readonly [string, string]>> = {
  layer: ["layer", "layers"],
  role: ["role", "roles"],
  family: ["family", "families"],
  part: ["part", "parts"],
};

/**
 * Who carries the motion: for each member a bar that is its share of the momentum, and a line from what is lost
 * without it to what it gives alone. A long line says that others do the same at the same time; a short one that
 * nobody stands in for it.
 *
 * @param attribution the shares, as from `attribution`
 * @param options width, height of the rows together, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { attribution, demoScore } from "ripieno";
 * import { attributionChart, chartSvg } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = attributionChart(attribution(demoScore(), { by: "family" }));
 * assertStringIncludes(chartSvg(chart), "strings");
 * ```
 */
export function attributionChart(attribution: Attribution, options: ChartOptions = {}): Chart {
  checkArgument("draw the attribution chart", attribution, AN_ATTRIBUTION);
  const { by, whole } = attribution;
  const [member, members] = MEMBERS[by];
  const { width, height, title } = checkedOptions("attribution chart", options);
  const shown = attribution.rows.filter((r, i) => i === 0 || r.share >= LEAST_SHARE).slice(0, MOST_ROWS);
  const left = attribution.rows.filter((r) => !shown.includes(r));
  const rowHeight = height === undefined ? ROW : Math.max(14, (height - AXIS) / Math.max(1, shown.length));
  const nameRoom = Math.min(width * 0.3, Math.max(60, ...shown.map((r) => textWidth(r.name, 12))) + 12);
  const rest = left.reduce((sum, r) => sum + r.contribution, 0);
  return chartFrame({
    name: NAME,
    width,
    title: title ?? attributionTitle(attribution),
    note: `${whole.momentum.toFixed(1)} driving attacks per second, shared out by ${member}` +
      (left.length > 0
        ? `; ${left.length} more ${left.length === 1 ? member : members} with ${rest.toFixed(2)} in all`
        : ""),
    label: `Momentum shared out by ${member}: ` +
      shown.map((r) => `${r.name} ${r.contribution.toFixed(2)}`).join(", ") + " driving attacks per second",
    legend: legendOf(),
    blocks: [rowsBlock(shown, { width, left: SIDE + nameRoom, rowHeight })],
  });
}

/** A member with the places of its bar and of the line below it, in pixels from the first row down. */
interface MemberRow extends AttributionRow {
  readonly middle: number;
  readonly upper: number;
  readonly lower: number;
  /** The line from what is lost to what is given alone. */
  readonly below: number;
}

function rowsBlock(
  shown: readonly AttributionRow[],
  { width, left, rowHeight }: { readonly width: number; readonly left: number; readonly rowHeight: number },
): FrameBlock {
  const highest = niceTop(Math.max(0.1, ...shown.map((r) => Math.max(r.alone, r.contribution))));
  const lowest = Math.min(0, ...shown.map((r) => Math.min(r.takenAway, r.contribution)));
  const room = (width - left - FIGURES - SIDE) * highest / (highest - lowest);
  const thick = Math.min(14, rowHeight * 0.45);
  const rows = shown.map((row, i): MemberRow => {
    const middle = (i + 0.4) * rowHeight;
    const below = (i + 0.55) * rowHeight + thick / 2;
    return { ...row, middle, upper: middle - thick / 2, lower: middle + thick / 2, below };
  });
  return plotBlock({
    width,
    height: rows.length * rowHeight + AXIS,
    marginLeft: left,
    marginRight: FIGURES + SIDE,
    marginBottom: AXIS - 4,
    x: { domain: [lowest, highest] },
    y: { domain: [rows.length * rowHeight + 4, 0] },
    marks: [
      ...levelAxis(ticks(0, highest, Math.max(2, Math.min(6, Math.floor(room / 44))))),
      Plot.ruleX([0], { strokeOpacity: 0.5 }),
      rowNames(rows, { y: "middle", nameOf: (r) => r.name, room: left - SIDE - 10, size: 12 }),
      ...memberMarks(rows),
    ],
  });
}

function memberMarks(rows: readonly MemberRow[]): readonly Plot.Markish[] {
  return [
    Plot.rect(rows, {
      x1: 0,
      x2: "contribution",
      y1: "upper",
      y2: "lower",
      fill: (r: MemberRow) => r.role === undefined ? FILL : roleFill(NAME, r.role),
      stroke: "currentColor",
      strokeOpacity: 0.4,
      strokeWidth: 0.5,
      title: (r: MemberRow) =>
        `${r.name} adds ${withError(r)} driving attacks per second; alone ${r.alone.toFixed(2)}, ` +
        `lost without it ${r.takenAway.toFixed(2)}`,
      ...namedMark("contributions"),
    }),
    Plot.ruleY(rows, { x1: "takenAway", x2: "alone", y: "below", strokeWidth: 1.2 }),
    Plot.ruleX(rows, {
      x: "takenAway",
      y1: (r: MemberRow) => r.below - 6,
      y2: (r: MemberRow) => r.below + 6,
      strokeWidth: 2,
      ...namedMark("taken-away"),
    }),
    Plot.dot(rows, {
      x: "alone",
      y: "below",
      r: 3.5,
      fill: PAPER,
      stroke: "currentColor",
      ...namedMark("alone"),
    }),
    Plot.text(rows, {
      x: (r: MemberRow) => Math.max(r.alone, r.contribution),
      y: "middle",
      text: (r: MemberRow) => `${withError(r)} (${percent(r.share)})`,
      textAnchor: "start",
      dx: 10,
    }),
  ];
}

function withError({ contribution, contributionError }: AttributionRow): string {
  return contribution.toFixed(2) + (contributionError >= 0.005 ? ` ± ${contributionError.toFixed(2)}` : "");
}

function legendOf(): readonly LegendEntry[] {
  const ink = { stroke: "currentColor", "stroke-width": 2 };
  return [
    [h("rect", { x: 0, y: 2, width: 22, height: 12, fill: FILL }), "what it adds"],
    [h("path", { d: "M11 2V14", ...ink }), "what is lost without it"],
    [h("circle", { cx: 11, cy: 8, r: 3.5, fill: PAPER, ...ink, "stroke-width": 1.5 }), "what it gives alone"],
  ];
}
