import * as Plot from "@observablehq/plot";
import { A_TEXT } from "../../../base/arguments.ts";
import { type CellMean, cellMeans } from "../../panels/cell_means.ts";
import { cannotDraw, type ChartOptions, checkedOptions } from "../../drawing/chart_options.ts";
import { columnDecimals, columnUnit, columnWords } from "../../drawing/column_words.ts";
import { chartFrame, type FrameBlock } from "../../drawing/frame.ts";
import { namedMark } from "../../drawing/named_mark.ts";
import { plotBlock } from "../../drawing/plot_block.ts";
import { headWords, rowNames } from "../../drawing/plot_texts.ts";
import { type Chart, h, svgText } from "../../drawing/svg.ts";
import { fitText, textWidth, wrapText } from "../../drawing/text_width.ts";
import { counted, figure } from "../../drawing/words.ts";
import { sweepTitle } from "../../titles/comparison_titles.ts";

/** Options of {@linkcode sweepChart}. */
export interface SweepChartOptions extends ChartOptions {
  /** Choice along the columns. */
  readonly x: string;
  /** Choice down the rows. */
  readonly y: string;
  /** What is shown, for example `momentum`. */
  readonly of: string;
  /** A third choice: one table for each of its values, on one scale. */
  readonly panels?: string;
}

const NAME = "sweep";
const SIDE = 12;
const ROW = 34;
const GAP = 3;
const HEAD = 40;
const HEAD_LINE = 13;
const PANEL_HEAD = 24;
const AFTER = 16;
/** Lightest and darkest of the scale; only lightness tells, so that a grey copy says the same. */
const SCALE = [[238, 245, 243], [18, 69, 82]] as const;

/**
 * A heat map of a sweep: the mean over all settings that have the two values of a cell. The darker, the higher; the
 * figure stands in every cell, with how many settings were refused. Where all were, the cell is hatched.
 *
 * @param rows rows as from `sweep`
 * @param options the two choices, what is shown, a third choice for several tables; width, height, title
 * @returns the chart
 * @throws {InputError} when a column is missing, nothing has a figure, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { chartSvg, sweepChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const rows = [{ who: "horns", tempo: 96, momentum: 2.5 }, { who: "violas", tempo: 96, momentum: 3.25 }];
 * assertStringIncludes(chartSvg(sweepChart(rows, { x: "tempo", y: "who", of: "momentum" })), "3.25");
 * ```
 */
export function sweepChart(rows: readonly object[], options: SweepChartOptions): Chart {
  const { width, height, title, x, y, of, panels } = checkedOptions("sweep chart", options, {
    x: undefined,
    y: undefined,
    of: undefined,
    panels: A_TEXT,
  });
  const tables = tablesOf(rows, { x, y, of, panels });
  const cells = tables.flatMap((t) => t.cells);
  const means = cells.flatMap((c) => c.mean ?? []);
  if (means.length === 0) {
    const problem = `no setting has a figure for "${of}"`;
    throw cannotDraw("sweep chart", problem, "See the column refused, or ask the sweep for the measure");
  }
  const scale: Scale = { lowest: Math.min(...means), highest: Math.max(...means), name: of };
  const most = Math.max(...tables.map((t) => new Set(t.cells.map((c) => c.y)).size));
  const rowHeight = height === undefined ? ROW : Math.max(20, height / tables.length / most);
  const without = cells.reduce((sum, c) => sum + c.without, 0);
  const settings = counted(rows.length, "setting");
  const [across, down] = [columnWords(x), columnWords(y)];
  return chartFrame({
    name: NAME,
    width,
    title: title ?? sweepTitle(cells, of, (value) => figureOf(scale, value)),
    note: `Mean over the settings of each cell${columnUnit(of) === "" ? "" : `, ${columnUnit(of)}`}; ` +
      `${settings}${without === 0 ? "" : `, ${without} of them refused`}.`,
    label: `${columnWords(of)} of ${settings} by ${down} and ${across}: ` +
      `from ${figureOf(scale, scale.lowest)} to ${figureOf(scale, scale.highest)}`,
    legend: [],
    blocks: [
      scaleBlock(scale, width),
      ...tables.map((t) => tableBlock({ ...t, scale, width, rowHeight, x: across })),
    ],
  });
}

/** The cells of each table; refuses what no table can be made of. */
function tablesOf(
  rows: readonly object[],
  { panels, ...columns }: Pick<SweepChartOptions, "x" | "y" | "of"> & { readonly panels: string | undefined },
): readonly Pick<TableInput, "heading" | "cells">[] {
  const unknown = Object.entries(columns).find(([, value]) => typeof value !== "string");
  if (unknown !== undefined) {
    const remedy = 'Name columns of the rows, for example { x: "tempo", y: "figure", of: "momentum" }';
    throw cannotDraw("sweep chart", `it does not know what ${unknown[0]} is`, remedy);
  }
  if (!Array.isArray(rows) || rows.length === 0) {
    throw cannotDraw("sweep chart", "there are no rows", "Give the rows that sweep() returns");
  }
  if (panels === undefined) return [{ heading: "", cells: cellMeans(rows, columns) }];
  const tables = Map.groupBy(rows as readonly Readonly<Record<string, unknown>>[], (row) => row[panels]);
  if (tables.has(undefined)) {
    const remedy = `Their columns are ${Object.keys(rows[0]!).join(", ")}`;
    throw cannotDraw("sweep chart", `the rows have no column "${panels}"`, remedy);
  }
  return [...tables].map(([value, own]) => ({
    heading: `${columnWords(panels)}: ${String(value)}`,
    cells: cellMeans(own, columns),
  }));
}

/** The scale of the colours. */
interface Scale {
  readonly lowest: number;
  readonly highest: number;
  /** The column shown. */
  readonly name: string;
}

function figureOf({ name, highest, lowest }: Scale, value: number): string {
  return figure(value, columnDecimals(name, Math.max(Math.abs(highest), Math.abs(lowest))));
}

/** Place of a value on the scale, 0 to 1. */
function placeOf({ lowest, highest }: Scale, value: number): number {
  return highest === lowest ? 0.5 : (value - lowest) / (highest - lowest);
}

function colourAt(place: number): string {
  const mixed = SCALE[0].map((from, i) => Math.round(from + (SCALE[1][i]! - from) * place));
  return `rgb(${mixed.join(",")})`;
}

function scaleBlock(scale: Scale, width: number): FrameBlock {
  const length = Math.min(180, width / 3);
  const stops = [0, 1].map((place) => h("stop", { offset: place, "stop-color": colourAt(place) }));
  return {
    element: h(
      "g",
      { class: "scale" },
      h("linearGradient", { id: "ripieno-sweep-scale" }, ...stops),
      h("rect", { x: SIDE + 56, y: 2, width: length, height: 12, fill: "url(#ripieno-sweep-scale)" }),
      svgText({ text: figureOf(scale, scale.lowest), x: SIDE + 50, y: 12, anchor: "end" }),
      svgText({ text: figureOf(scale, scale.highest), x: SIDE + 62 + length, y: 12 }),
    ),
    height: 26,
  };
}

interface TableInput {
  readonly heading: string;
  readonly cells: readonly CellMean[];
  readonly scale: Scale;
  readonly width: number;
  readonly rowHeight: number;
  /** The choice along the columns, in words. */
  readonly x: string;
}

function tableBlock({ heading, cells, scale, width, rowHeight, x }: TableInput): FrameBlock {
  const columns = [...new Set(cells.map((c) => c.x))];
  const rows = [...new Set(cells.map((c) => c.y))];
  const nameRoom = Math.min(width * 0.32, Math.max(...rows.map((r) => textWidth(String(r), 11))) + 14);
  const left = SIDE + nameRoom;
  const cellWidth = (width - left - SIDE) / columns.length;
  const heads = new Map(columns.map((column) => [column, headLines(String(column), cellWidth - 4)]));
  const headHeight = (Math.max(1, ...[...heads.values()].map((lines) => lines.length)) - 1) * HEAD_LINE;
  const top = (heading === "" ? 0 : PANEL_HEAD) + HEAD + headHeight;
  const title = { dx: -nameRoom, dy: 13 - top, size: 13, weight: 600 };
  return plotBlock({
    label: "table",
    width,
    height: top + rows.length * rowHeight + AFTER,
    marginTop: top,
    marginLeft: left,
    marginRight: SIDE,
    marginBottom: AFTER,
    x: { type: "band", domain: columns, padding: 0 },
    y: { type: "band", domain: rows, padding: 0 },
    marks: [
      headWords(fitText(heading, 13, width - 2 * SIDE), title),
      headWords(x, { dy: -headHeight - 26, opacity: 0.72 }),
      Plot.text(columns, {
        x: Plot.identity,
        frameAnchor: "top",
        lineAnchor: "bottom",
        dy: -8,
        lineHeight: HEAD_LINE / 11,
        text: (column) => heads.get(column)!.join("\n"),
        title: String,
      }),
      rowNames(rows, { y: Plot.identity, nameOf: String, room: nameRoom - 10 }),
      ...cellMarks(cells, scale, { width: cellWidth - GAP - 4, height: rowHeight - GAP }),
    ],
  });
}

/** A shade for each cell with its figure, and how many settings were refused where there is room for it. */
function cellMarks(
  cells: readonly CellMean[],
  scale: Scale,
  room: { readonly width: number; readonly height: number },
): readonly Plot.Markish[] {
  const isDark = (c: CellMean) => c.mean !== null && placeOf(scale, c.mean) > 0.5;
  const inkOf = (c: CellMean) => c.mean === null ? "currentColor" : isDark(c) ? "#ffffff" : "#12262b";
  const hasSmall = (c: CellMean) => c.mean !== null && c.without > 0 && room.height >= 28;
  const inside = { x: "x", y: "y", fill: inkOf, pointerEvents: "none", dx: -GAP / 2 } as const;
  const text = (c: CellMean) => fitText(cellText(scale, c), 12, room.width);
  const figures = { ...inside, text, fontSize: 12 };
  return [
    Plot.cell(cells, {
      x: "x",
      y: "y",
      insetRight: GAP,
      insetBottom: GAP,
      fill: (c: CellMean) => c.mean === null ? "none" : colourAt(placeOf(scale, c.mean)),
      stroke: (c: CellMean) => c.mean === null ? "currentColor" : "none",
      strokeOpacity: 0.35,
      strokeDasharray: "3 3",
      title: (c: CellMean) => hoverOf(scale, c),
      ...namedMark("cells"),
    }),
    Plot.text(cells.filter((c) => !hasSmall(c)), { ...figures, dy: -GAP / 2 }),
    Plot.text(cells.filter(hasSmall), { ...figures, dy: -5 - GAP / 2 }),
    Plot.text(cells.filter(hasSmall), {
      ...inside,
      text: (c: CellMean) => fitText(`${c.without} refused`, 9, room.width),
      fontSize: 9,
      dy: 8 - GAP / 2,
    }),
  ];
}

/** A column's name on one line or two. */
function headLines(name: string, room: number): readonly string[] {
  const lines = wrapText(name, 11, room);
  return [lines[0] ?? "", ...(lines.length > 1 ? [lines.slice(1).join(" ")] : [])]
    .map((line) => fitText(line, 11, room));
}

function cellText(scale: Scale, { mean, settings, without }: CellMean): string {
  return mean !== null ? figureOf(scale, mean) : settings + without === 0 ? "" : "refused";
}

function hoverOf(scale: Scale, { x, y, mean, lowest, highest, settings, without }: CellMean): string {
  return mean === null
    ? `${y}, ${x}: ${settings + without === 0 ? "no setting" : `all ${without} refused`}`
    : `${y}, ${x}: ${figureOf(scale, mean)}, mean of ${counted(settings, "setting")} from ${
      figureOf(scale, lowest!)
    } to ${figureOf(scale, highest!)}${without === 0 ? "" : `; ${without} refused`}`;
}
