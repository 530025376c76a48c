import * as Plot from "@observablehq/plot";
import { A_RECORD, checkArgument, listOf } from "../../base/arguments.ts";
import { BALANCE_CAUTION } from "../drawing/balance_caution.ts";
import type { MaskingRow } from "../../measures/balance/balance_results.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartFrame, type FrameBlock, roleFill } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { headWords } from "../drawing/plot_texts.ts";
import { plotBlock } from "../drawing/plot_block.ts";
import { type Chart, svgText } from "../drawing/svg.ts";
import { fitText, textWidth, wrapText } from "../drawing/text_width.ts";
import { counted } from "../drawing/words.ts";
import { hue } from "../drawing/theme.ts";
import { maskingTitle } from "../titles/sound_titles.ts";

interface MatrixLayer {
  readonly id: string;
  readonly role: Role;
  readonly parts: string;
  readonly sones: number;
}

const NAME = "masking";
const SIDE = 12;
const HEAD = 46;
const MOST_LAYERS = 12;
const WIDEST_CELL = 86;
/** Shade of a full loss; a share of it for less. */
const LOST = hue("shade");
/** From this share on figures are white. */
const WHITE_FROM = 0.68;

const ROWS = listOf(A_RECORD, "a list of rows");

/**
 * Who covers whom, as a table of shades and figures: each row is a layer, each column a layer that sounds with it, and
 * the figure says how much of the row's loudness goes then, in per cent. Dashes stand where the two never meet.
 *
 * @param rows rows of `maskingMatrix`
 * @param options width, height, title
 * @returns the chart; of more than twelve layers, the loudest twelve
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { maskingMatrix } from "ripieno/measures";
 * import { chartSvg, maskingChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = maskingChart(maskingMatrix(demoScore(), { fromBarIndex: 16, toBarIndex: 23 }));
 * assertStringIncludes(chartSvg(chart), "lead");
 * ```
 */
export function maskingChart(rows: readonly MaskingRow[], options: ChartOptions = {}): Chart {
  checkArgument("draw the masking chart", rows, ROWS);
  const { width, height, title } = checkedOptions("masking chart", options);
  const all = layersOf(rows);
  const layers = all.toSorted((a, b) => b.sones - a.sones).slice(0, MOST_LAYERS)
    .sort((a, b) => ROLE_NAMES.indexOf(a.role) - ROLE_NAMES.indexOf(b.role) || a.id.localeCompare(b.id));
  const left = Math.min(width * (layers.length > 8 ? 0.34 : 0.42), 330);
  const cell = Math.min(WIDEST_CELL, (width - left - SIDE) / Math.max(1, layers.length));
  const row = height === undefined ? 34 : Math.max(18, (height - HEAD) / Math.max(1, layers.length));
  const worst = rows[0];
  const more = all.length - layers.length;
  return chartFrame({
    name: NAME,
    width,
    title: title ?? maskingTitle(rows),
    note: `What goes of a row's loudness when the column, and nothing else, sounds with it, in per cent.${
      more > 0 ? ` The loudest ${MOST_LAYERS} of ${all.length} layers.` : ""
    }${title === "" ? "" : ` ${BALANCE_CAUTION}`}`,
    label: worst === undefined
      ? "No two layers sound together"
      : `${
        counted(layers.length, "layer")
      } and what they take of each other's loudness; most is taken from ${worst.maskedRole} (${worst.maskedParts}) by ${worst.maskerRole} (${worst.maskerParts}): ${
        percent(worst.lostShare)
      }`,
    legend: [],
    blocks: [
      layers.length === 0
        ? {
          element: svgText({ text: "No two layers sound together.", x: SIDE, y: 20, size: 12 }),
          height: 30,
        }
        : matrix({ layers, rows, width, left, cell, row }),
    ],
  });
}

function layersOf(rows: readonly MaskingRow[]): readonly MatrixLayer[] {
  const layers = new Map<string, MatrixLayer>();
  for (const r of rows) {
    const known = layers.get(r.masked)?.sones ?? 0;
    layers.set(r.masked, {
      id: r.masked,
      role: r.maskedRole,
      parts: r.maskedParts,
      sones: Math.max(known, r.aloneSones),
    });
    if (!layers.has(r.masker)) {
      layers.set(r.masker, { id: r.masker, role: r.maskerRole, parts: r.maskerParts, sones: 0 });
    }
  }
  return [...layers.values()];
}

interface Matrix {
  readonly layers: readonly MatrixLayer[];
  readonly rows: readonly MaskingRow[];
  readonly width: number;
  readonly left: number;
  readonly cell: number;
  readonly row: number;
}

/** Names at the left, letters and roles on top, and a cell for each two layers that meet. */
function matrix(input: Matrix): FrameBlock {
  const { layers, width, left, cell, row } = input;
  const ids = layers.map((l) => l.id);
  return plotBlock({
    label: "matrix",
    width,
    height: HEAD + layers.length * row + 10,
    marginLeft: left,
    marginTop: HEAD,
    marginRight: width - left - layers.length * cell,
    marginBottom: 10,
    x: { type: "band", domain: ids, padding: 0 },
    y: { type: "band", domain: ids, padding: 0 },
    marks: [
      headWords("is covered …", { dx: -10, dy: -8, anchor: "end", opacity: 0.75 }),
      headWords("… by", { dy: 12 - HEAD, opacity: 0.75 }),
      ...layerNames(input),
      ...cellMarks(input, ids),
    ],
  });
}

/** Letters, since other charts number layers in other orders. */
const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";

/** Letters and roles above the columns, or their texture where the word has no room; letters and names beside the rows. */
function layerNames({ layers, left, cell, row }: Matrix): readonly Plot.Markish[] {
  const isNamed = (l: MatrixLayer) => textWidth(l.role, 10) <= cell - 2;
  const lettered = (l: MatrixLayer) => `${LETTERS[layers.indexOf(l)]}  ${l.role}: ${l.parts}`;
  const head = { x: "id", frameAnchor: "top", title: (l: MatrixLayer) => `${l.role}: ${l.parts}` } as const;
  const swatch = { symbol: "square", fill: (l: MatrixLayer) => roleFill(NAME, l.role) } as const;
  return [
    Plot.text(layers, { ...head, text: (_, i) => LETTERS[i], fontWeight: 600, dy: -30 }),
    Plot.text(layers.filter(isNamed), { ...head, text: "role", fontSize: 10, fillOpacity: 0.85, dy: -15 }),
    Plot.dot(layers.filter((l) => !isNamed(l)), { ...head, ...swatch, r: 6.5, dy: -11 }),
    Plot.dot(layers, { ...swatch, y: "id", frameAnchor: "left", dx: SIDE + 7 - left, r: 7.9 }),
    Plot.text(layers, {
      y: "id",
      frameAnchor: "left",
      text: (l: MatrixLayer) => nameLines(lettered(l), left - SIDE - 30, row).join("\n"),
      textAnchor: "start",
      lineHeight: 13 / 11,
      dx: SIDE + 21 - left,
      title: lettered,
    }),
  ];
}

/** A shade and a figure for each two that meet, a dash for those that do not, an empty cell for a layer with itself. */
function cellMarks({ layers, rows, cell }: Matrix, ids: readonly string[]): readonly Plot.Markish[] {
  const shown = rows.filter((r) => ids.includes(r.masked) && ids.includes(r.masker));
  const meets = new Set(rows.map((r) => `${r.masked} ${r.masker}`));
  const apart = ids.flatMap((masked) =>
    ids.filter((masker) => masker !== masked && !meets.has(`${masked} ${masker}`))
      .map((masker) => ({ masked, masker }))
  );
  const place = { x: "masker", y: "masked" };
  return [
    Plot.cell(layers, {
      x: "id",
      y: "id",
      inset: 1,
      fill: "none",
      stroke: "currentColor",
      strokeOpacity: 0.25,
      strokeDasharray: "2 3",
    }),
    Plot.text(apart, { ...place, text: () => "–", fillOpacity: 0.5, title: () => "never sound together" }),
    Plot.cell(shown, {
      ...place,
      inset: 1,
      fill: LOST,
      fillOpacity: (r: MaskingRow) => 0.04 + 0.86 * r.lostShare,
      stroke: "currentColor",
      strokeOpacity: 0.15,
      title: hoverOf,
      ...namedMark("shares"),
    }),
    Plot.text(shown, {
      ...place,
      text: (r: MaskingRow) => String(Math.round(100 * r.lostShare)),
      fontSize: cell < 30 ? 9 : 12,
      fill: (r: MaskingRow) => r.lostShare > WHITE_FROM ? "#ffffff" : "currentColor",
      pointerEvents: "none",
    }),
  ];
}

function hoverOf({ maskerRole, maskerParts, maskedRole, maskedParts, lostShare, beats }: MaskingRow): string {
  return `${maskerRole} (${maskerParts}) takes ${percent(lostShare)} of the loudness of ` +
    `${maskedRole} (${maskedParts}) in ${counted(beats, "beat")}`;
}

/** A name in as many lines as its row has room for. */
function nameLines(name: string, width: number, row: number): readonly string[] {
  if (row < 30) return [fitText(name, 11, width)];
  const lines = wrapText(name, 11, width);
  return lines.length > 2 ? [lines[0]!, fitText(lines.slice(1).join(" "), 11, width)] : lines;
}

const percent = (share: number) => `${Math.round(100 * share)} per cent`;
