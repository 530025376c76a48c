import { A_TEXT } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { type CellMean, cellMeans } from "../panels/cell_means.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { columnDecimals, columnUnit, columnWords } from "../drawing/column_words.ts";
import { chartDocument } from "../drawing/chart_document.ts";
import { chartFrame, type FrameBlock } from "../drawing/frame.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth, wrapText } from "../drawing/text_width.ts";
import { capitalised, counted, figure } from "../drawing/words.ts";

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
  const action = "draw the sweep chart";
  for (const [name, value] of [["x", x], ["y", y], ["of", of]] as const) {
    if (typeof value === "string") continue;
    throw new InputError({
      action,
      problem: `it does not know what ${name} is`,
      remedy: 'Name columns of the rows, for example { x: "tempo", y: "figure", of: "momentum" }',
    });
  }
  if (!Array.isArray(rows) || rows.length === 0) {
    throw new InputError({
      action,
      problem: "there are no rows",
      remedy: "Give the rows that sweep() returns",
    });
  }
  const table = rows as readonly Readonly<Record<string, unknown>>[];
  const values = panels === undefined ? [undefined] : [...new Set(table.map((row) => row[panels]))];
  if (panels !== undefined && values.includes(undefined)) {
    throw new InputError({
      action,
      problem: `the rows have no column "${panels}"`,
      remedy: `Their columns are ${Object.keys(table[0]!).join(", ")}`,
    });
  }
  const tables = values.map((value) => ({
    heading: panels === undefined ? "" : `${columnWords(panels)}: ${String(value)}`,
    cells: cellMeans(panels === undefined ? rows : table.filter((row) => row[panels] === value), {
      x,
      y,
      of,
    }),
  }));
  const means = tables.flatMap((t) => t.cells).flatMap((c) => c.mean ?? []);
  if (means.length === 0) {
    throw new InputError({
      action,
      problem: `no setting has a figure for "${of}"`,
      remedy: "See the column refused, or ask the sweep for the measure",
    });
  }
  const scale: Scale = { lowest: Math.min(...means), highest: Math.max(...means), name: of };
  const document = chartDocument();
  const most = Math.max(...tables.map((t) => new Set(t.cells.map((c) => c.y)).size));
  const rowHeight = height === undefined ? ROW : Math.max(20, height / tables.length / most);
  const without = tables.flatMap((t) => t.cells).reduce((sum, c) => sum + c.without, 0);
  return chartFrame(document, {
    name: NAME,
    width,
    title: title ?? `${capitalised(columnWords(of))} by ${columnWords(y)} and ${columnWords(x)}`,
    note: `Mean over the settings of each cell${columnUnit(of) === "" ? "" : `, ${columnUnit(of)}`}; ` +
      `${counted(rows.length, "setting")}${without === 0 ? "" : `, ${without} of them refused`}.`,
    label:
      `${columnWords(of)} of ${counted(rows.length, "setting")} by ${columnWords(y)} and ${
        columnWords(x)
      }: ` +
      `from ${figureOf(scale, scale.lowest)} to ${figureOf(scale, scale.highest)}`,
    legend: [],
    blocks: [
      scaleBlock(document, scale, width),
      ...tables.map((t) => tableBlock(document, { ...t, scale, width, rowHeight, x: columnWords(x) })),
    ],
  });
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

function scaleBlock(document: Document, scale: Scale, width: number): FrameBlock {
  const steps = 24;
  const length = Math.min(180, width / 3);
  const children = Array.from({ length: steps }, (_, i) =>
    h(document, "rect", {
      x: SIDE + 56 + i * length / steps,
      y: 2,
      width: length / steps + 0.5,
      height: 12,
      fill: colourAt(i / (steps - 1)),
    }));
  children.push(
    svgText(document, { text: figureOf(scale, scale.lowest), x: SIDE + 50, y: 12, anchor: "end" }),
    svgText(document, { text: figureOf(scale, scale.highest), x: SIDE + 62 + length, y: 12 }),
  );
  return {
    element: h(document, "g", { class: "scale" }, ...children),
    height: 26,
  };
}

/** What one table is drawn from. */
interface TableInput {
  readonly heading: string;
  readonly cells: readonly CellMean[];
  readonly scale: Scale;
  readonly width: number;
  readonly rowHeight: number;
  /** The choice along the columns, in words. */
  readonly x: string;
}

function tableBlock(document: Document, input: TableInput): FrameBlock {
  const { heading, cells, width, rowHeight } = input;
  const columns = [...new Set(cells.map((c) => c.x))];
  const rows = [...new Set(cells.map((c) => c.y))];
  const nameRoom = Math.min(width * 0.32, Math.max(...rows.map((r) => textWidth(String(r), 11))) + 14);
  const left = SIDE + nameRoom;
  const cellWidth = (width - left - SIDE) / columns.length;
  const heads = columns.map((column) => headLines(String(column), cellWidth - 4));
  const headHeight = (Math.max(1, ...heads.map((lines) => lines.length)) - 1) * HEAD_LINE;
  const top = (heading === "" ? 0 : PANEL_HEAD) + HEAD + headHeight;
  const children: SVGElement[] = [];
  if (heading !== "") {
    children.push(
      svgText(document, {
        text: fitText(heading, 13, width - 2 * SIDE),
        x: SIDE,
        y: 14,
        size: 13,
        weight: 600,
      }),
    );
  }
  children.push(svgText(document, { text: input.x, x: left, y: top - headHeight - 24, opacity: 0.72 }));
  columns.forEach((column, i) => {
    const lines = heads[i] ?? [];
    children.push(...lines.map((text, k) =>
      svgText(document, {
        text,
        x: left + (i + 0.5) * cellWidth,
        y: top - 8 - (lines.length - 1 - k) * HEAD_LINE,
        anchor: "middle",
        title: String(column),
      })
    ));
  });
  rows.forEach((row, i) => {
    children.push(svgText(document, {
      text: fitText(String(row), 11, nameRoom - 10),
      x: left - 10,
      y: top + (i + 0.5) * rowHeight + 4,
      anchor: "end",
      title: String(row),
    }));
  });
  const boxes = cells.map((cell, i) =>
    h(document, "g", {
      transform: `translate(${left + i % columns.length * cellWidth},${
        top + Math.floor(i / columns.length) * rowHeight
      })`,
    }, ...cellMarks(document, cell, { ...input, cellWidth }))
  );
  children.push(h(document, "g", { class: "cells" }, ...boxes));
  return {
    element: h(document, "g", { class: "table" }, ...children),
    height: top + rows.length * rowHeight + AFTER,
  };
}

/** A column's name on one line or two. */
function headLines(name: string, room: number): readonly string[] {
  const lines = wrapText(name, 11, room);
  return [lines[0] ?? "", ...(lines.length > 1 ? [lines.slice(1).join(" ")] : [])]
    .map((line) => fitText(line, 11, room));
}

/** A cell: its colour, its figure, and how many of its settings were refused. */
function cellMarks(
  document: Document,
  cell: CellMean,
  { scale, rowHeight, cellWidth }: TableInput & { readonly cellWidth: number },
): readonly SVGElement[] {
  const { mean, without, settings } = cell;
  const [w, high] = [cellWidth - GAP, rowHeight - GAP];
  const place = mean === null ? 0 : placeOf(scale, mean);
  const words = mean === null
    ? `${cell.y}, ${cell.x}: ${settings + without === 0 ? "no setting" : `all ${without} refused`}`
    : `${cell.y}, ${cell.x}: ${figureOf(scale, mean)}, mean of ${counted(settings, "setting")} from ${
      figureOf(scale, cell.lowest!)
    } to ${figureOf(scale, cell.highest!)}${without === 0 ? "" : `; ${without} refused`}`;
  const box = h(document, "rect", {
    ...(mean === null
      ? {
        width: w,
        height: high,
        fill: "none",
        stroke: "currentColor",
        "stroke-opacity": 0.35,
        "stroke-dasharray": "3 3",
      }
      : { width: w, height: high, fill: colourAt(place) }),
    title: words,
  });
  const ink = mean === null ? "currentColor" : place > 0.5 ? "#ffffff" : "#12262b";
  const text = mean === null ? (settings + without === 0 ? "" : "refused") : figureOf(scale, mean);
  const small = mean !== null && without > 0 && high >= 28 ? `${without} refused` : "";
  const lines = [{ text: fitText(text, 12, w - 4), size: 12, y: small === "" ? high / 2 + 4 : high / 2 - 1 }]
    .concat(small === "" ? [] : [{ text: fitText(small, 9, w - 4), size: 9, y: high / 2 + 11 }]);
  return [
    box,
    ...lines.filter((line) => line.text !== "").map((line) =>
      h(document, "text", {
        x: w / 2,
        y: line.y,
        "font-size": line.size,
        "text-anchor": "middle",
        fill: ink,
        "pointer-events": "none",
      }, line.text)
    ),
  ];
}
