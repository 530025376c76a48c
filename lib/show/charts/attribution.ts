import { ticks } from "d3-array";
import { AN_ATTRIBUTION, checkArgument } from "../../base/arguments.ts";
import type { Attribution, AttributionRow, SharedBy } from "../../measures/momentum/momentum_results.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartDocument } from "../drawing/chart_document.ts";
import { chartFrame, type LegendEntry, roleFill } from "../drawing/frame.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth } from "../drawing/text_width.ts";
import { PAPER } from "../drawing/theme.ts";
import { niceTop } from "../drawing/value_axis.ts";
import { figure, percent } from "../drawing/words.ts";

const NAME = "attribution";
const SIDE = 12;
const ROW = 30;
const AXIS = 26;
const FIGURES = 96;
const MOST_ROWS = 24;
/** Members that add less are summed up in the note. */
const LEAST_SHARE = 0.005;
const FILL = "#2e95b3";

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
  const { width, height, title = "Who carries the motion" } = checkedOptions("attribution chart", options);
  const document = chartDocument();
  const shown = attribution.rows.filter((r, i) => i === 0 || r.share >= LEAST_SHARE).slice(0, MOST_ROWS);
  const left = attribution.rows.filter((r) => !shown.includes(r));
  const rowHeight = height === undefined ? ROW : Math.max(14, (height - AXIS) / Math.max(1, shown.length));
  const nameRoom = Math.min(width * 0.3, Math.max(60, ...shown.map((r) => textWidth(r.name, 12))) + 12);
  const x0 = SIDE + nameRoom;
  const room = width - x0 - FIGURES - SIDE;
  const highest = niceTop(Math.max(0.1, ...shown.map((r) => Math.max(r.alone, r.contribution))));
  const lowest = Math.min(0, ...shown.map((r) => Math.min(r.takenAway, r.contribution)));
  const xOf = (value: number) => x0 + (value - lowest) / (highest - lowest) * room;
  const rows = shown.flatMap((row, i) =>
    rowMarks(document, { row, y: i * rowHeight, rowHeight, nameRoom, xOf })
  );
  const rest = left.reduce((sum, r) => sum + r.contribution, 0);
  return chartFrame(document, {
    name: NAME,
    width,
    title,
    note: `${whole.momentum.toFixed(1)} driving attacks per second, shared out by ${member}` +
      (left.length > 0
        ? `; ${left.length} more ${left.length === 1 ? member : members} with ${rest.toFixed(2)} in all`
        : ""),
    label: `Momentum shared out by ${member}: ` +
      shown.map((r) => `${r.name} ${r.contribution.toFixed(2)}`).join(", ") + " driving attacks per second",
    legend: legendOf(document),
    blocks: [{
      element: h(
        document,
        "g",
        {},
        ...axisMarks(document, { lowest, highest, bottom: shown.length * rowHeight, xOf }),
        ...rows,
      ),
      height: shown.length * rowHeight + AXIS,
    }],
  });
}

/** What one row is drawn from. */
interface RowInput {
  readonly row: AttributionRow;
  readonly y: number;
  readonly rowHeight: number;
  readonly nameRoom: number;
  readonly xOf: (value: number) => number;
}

function rowMarks(document: Document, { row, y, rowHeight, nameRoom, xOf }: RowInput): readonly SVGElement[] {
  const middle = y + rowHeight * 0.4;
  const thick = Math.min(14, rowHeight * 0.45);
  /** The line from what is lost to what is given alone runs below the bar. */
  const below = middle + thick / 2 + rowHeight * 0.15;
  const [zero, end] = [xOf(0), xOf(row.contribution)];
  const error = row.contributionError >= 0.005 ? ` ± ${row.contributionError.toFixed(2)}` : "";
  const bar = h(document, "rect", {
    class: "contribution",
    x: Math.min(zero, end),
    y: middle - thick / 2,
    width: Math.max(0.5, Math.abs(end - zero)),
    height: thick,
    fill: row.role === undefined ? FILL : roleFill(NAME, row.role),
    stroke: "currentColor",
    "stroke-opacity": 0.4,
    "stroke-width": 0.5,
    title: `${row.name} adds ${row.contribution.toFixed(2)}${error} driving attacks per second; alone ` +
      `${row.alone.toFixed(2)}, lost without it ${row.takenAway.toFixed(2)}`,
  });
  return [
    svgText(document, {
      text: fitText(row.name, 12, nameRoom - 10),
      x: SIDE + nameRoom - 10,
      y: middle + 4,
      size: 12,
      anchor: "end",
      title: row.name,
    }),
    bar,
    h(document, "path", {
      class: "span",
      d: `M${xOf(row.takenAway)} ${below}H${xOf(row.alone)}`,
      stroke: "currentColor",
      "stroke-width": 1.2,
    }),
    lostSign(document, xOf(row.takenAway), below),
    aloneSign(document, xOf(row.alone), below),
    svgText(document, {
      text: `${row.contribution.toFixed(2)}${error} (${percent(row.share)})`,
      x: xOf(Math.max(row.alone, row.contribution)) + 10,
      y: middle + 4,
      size: 11,
    }),
  ];
}

/** What is lost without the member: an upright stroke. */
function lostSign(document: Document, x: number, y: number): SVGElement {
  return h(document, "path", {
    class: "taken-away",
    d: `M${x} ${y - 6}V${y + 6}`,
    stroke: "currentColor",
    "stroke-width": 2,
  });
}

/** What the member gives alone: a ring. */
function aloneSign(document: Document, x: number, y: number): SVGElement {
  return h(document, "circle", {
    class: "alone",
    cx: x,
    cy: y,
    r: 3.5,
    fill: PAPER,
    stroke: "currentColor",
    "stroke-width": 1.5,
  });
}

function legendOf(document: Document): readonly LegendEntry[] {
  const bar = h(document, "rect", { x: 0, y: 2, width: 22, height: 12, fill: FILL });
  return [
    { sign: { drawn: bar }, label: "what it adds" },
    { sign: { drawn: lostSign(document, 11, 8) }, label: "what is lost without it" },
    { sign: { drawn: aloneSign(document, 11, 8) }, label: "what it gives alone" },
  ];
}

/** Fine lines and figures below the rows. */
function axisMarks(
  document: Document,
  { lowest, highest, bottom, xOf }: {
    readonly lowest: number;
    readonly highest: number;
    readonly bottom: number;
    readonly xOf: (value: number) => number;
  },
): readonly SVGElement[] {
  const values = ticks(0, highest, Math.max(2, Math.min(6, Math.floor((xOf(highest) - xOf(0)) / 44))));
  const decimals = values.every(Number.isInteger) ? 0 : values.every((v) => Number.isInteger(v * 10)) ? 1 : 2;
  const lines = [lowest, ...values].map((value) =>
    h(document, "path", {
      d: `M${xOf(value)} 0V${bottom + 4}`,
      stroke: "currentColor",
      "stroke-opacity": value === 0 ? 0.6 : 0.12,
    })
  );
  const figures = values.map((value) =>
    svgText(document, {
      text: figure(value, value === 0 ? 0 : decimals),
      x: xOf(value),
      y: bottom + 17,
      anchor: "middle",
    })
  );
  return [...lines, ...figures];
}
