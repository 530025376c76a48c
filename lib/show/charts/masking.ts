import { A_RECORD, checkArgument, listOf } from "../../base/arguments.ts";
import { BALANCE_CAUTION } from "../drawing/balance_caution.ts";
import type { MaskingRow } from "../../measures/balance/balance_results.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartDocument } from "../drawing/chart_document.ts";
import { chartFrame, roleFill } from "../drawing/frame.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth, wrapText } from "../drawing/text_width.ts";
import { counted } from "../drawing/words.ts";

/** A layer of the matrix. */
interface MatrixLayer {
  readonly id: string;
  readonly role: Role;
  readonly parts: string;
  readonly sones: number;
}

/** Where everything stands. */
interface Layout {
  readonly document: Document;
  readonly layers: readonly MatrixLayer[];
  readonly left: number;
  readonly cell: number;
  readonly row: number;
}

const NAME = "masking";
const SIDE = 12;
const HEAD = 46;
const MOST_LAYERS = 12;
const WIDEST_CELL = 86;
/** Shade of a full loss; a share of it for less. */
const LOST = "#7a1030";
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
 * const chart = maskingChart(maskingMatrix(demoScore(), { fromBar: 16, toBar: 23 }));
 * assertStringIncludes(chartSvg(chart), "lead");
 * ```
 */
export function maskingChart(rows: readonly MaskingRow[], options: ChartOptions = {}): Chart {
  checkArgument("draw the masking chart", rows, ROWS);
  const { width, height, title = "Who covers whom?" } = checkedOptions("masking chart", options);
  const document = chartDocument();
  const all = layersOf(rows);
  const layers = all.toSorted((a, b) => b.sones - a.sones).slice(0, MOST_LAYERS)
    .sort((a, b) => ROLE_NAMES.indexOf(a.role) - ROLE_NAMES.indexOf(b.role) || a.id.localeCompare(b.id));
  const left = Math.min(width * (layers.length > 8 ? 0.34 : 0.42), 330);
  const cell = Math.min(WIDEST_CELL, (width - left - SIDE) / Math.max(1, layers.length));
  const row = height === undefined ? 34 : Math.max(18, (height - HEAD) / Math.max(1, layers.length));
  const layout: Layout = { document, layers, left, cell, row };
  const worst = rows[0];
  const more = all.length - layers.length;
  return chartFrame(document, {
    name: NAME,
    width,
    title,
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
    blocks: [{
      element: h(
        document,
        "g",
        { "aria-label": "matrix" },
        ...(layers.length === 0
          ? [svgText(document, { text: "No two layers sound together.", x: SIDE, y: 20, size: 12 })]
          : [...headOf(layout), ...layers.flatMap((_, i) => rowOf(layout, i, rows))]),
      ),
      height: HEAD + layers.length * row + 10,
    }],
  });
}

/** The layers of the rows, each once. */
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

/** Numbers and roles of the columns. */
function headOf({ document, layers, left, cell }: Layout): readonly SVGElement[] {
  return [
    svgText(document, {
      text: "is covered …",
      x: left - 10,
      y: HEAD - 8,
      size: 11,
      anchor: "end",
      opacity: 0.75,
    }),
    svgText(document, { text: "… by", x: left, y: 12, size: 11, opacity: 0.75 }),
    ...layers.flatMap(({ role, parts }, i) => [
      svgText(document, {
        text: `${i + 1}`,
        x: left + (i + 0.5) * cell,
        y: HEAD - 20,
        anchor: "middle",
        weight: 600,
        title: `${role}: ${parts}`,
      }),
      ...(textWidth(role, 10) <= cell - 2
        ? [svgText(document, {
          text: role,
          x: left + (i + 0.5) * cell,
          y: HEAD - 7,
          size: 10,
          anchor: "middle",
          opacity: 0.85,
          title: `${role}: ${parts}`,
        })]
        : [h(document, "rect", {
          x: left + (i + 0.5) * cell - 7,
          y: HEAD - 16,
          width: 14,
          height: 10,
          rx: 2,
          fill: roleFill(NAME, role),
        })]),
    ]),
  ];
}

/** One layer with what the others take of it. */
function rowOf(layout: Layout, i: number, rows: readonly MaskingRow[]): readonly SVGElement[] {
  const { document, layers, left, cell, row } = layout;
  const masked = layers[i]!;
  const top = HEAD + i * row;
  const middle = top + row / 2 + 4;
  const name = `${i + 1}  ${masked.role}: ${masked.parts}`;
  const cells = layers.flatMap((masker, k): SVGElement[] => {
    const x = left + k * cell;
    const found = rows.find((r) => r.masked === masked.id && r.masker === masker.id);
    if (!found) {
      return k === i ? [] : [svgText(document, {
        text: "–",
        x: x + cell / 2,
        y: middle,
        anchor: "middle",
        opacity: 0.5,
        title: "never sound together",
      })];
    }
    const { lostShare } = found;
    const hover = `${found.maskerRole} (${found.maskerParts}) takes ${
      percent(lostShare)
    } of the loudness of ${found.maskedRole} (${found.maskedParts}) in ${counted(found.beats, "beat")}`;
    return [
      h(document, "rect", {
        class: "share",
        x: x + 1,
        y: top + 1,
        width: cell - 2,
        height: row - 2,
        fill: LOST,
        "fill-opacity": Math.round(1000 * (0.04 + 0.86 * lostShare)) / 1000,
        stroke: "currentColor",
        "stroke-opacity": 0.15,
        title: hover,
      }),
      h(document, "text", {
        x: x + cell / 2,
        y: middle,
        "text-anchor": "middle",
        "font-size": cell < 30 ? 9 : 12,
        ...(lostShare > WHITE_FROM ? { fill: "#ffffff" } : {}),
        "pointer-events": "none",
      }, String(Math.round(100 * lostShare))),
    ];
  });
  return [
    h(document, "rect", {
      x: SIDE,
      y: middle - 11,
      width: 14,
      height: 14,
      rx: 2,
      fill: roleFill(NAME, masked.role),
    }),
    ...nameLines(name, left - SIDE - 30, row).map((text, k, all) =>
      svgText(document, { text, x: SIDE + 21, y: middle + (k - (all.length - 1) / 2) * 13, title: name })
    ),
    h(document, "rect", {
      x: left + i * cell + 1,
      y: top + 1,
      width: cell - 2,
      height: row - 2,
      fill: "none",
      stroke: "currentColor",
      "stroke-opacity": 0.25,
      "stroke-dasharray": "2 3",
    }),
    ...cells,
  ];
}

/** A name in as many lines as its row has room for. */
function nameLines(name: string, width: number, row: number): readonly string[] {
  if (row < 30) return [fitText(name, 11, width)];
  const lines = wrapText(name, 11, width);
  return lines.length > 2 ? [lines[0]!, fitText(lines.slice(1).join(" "), 11, width)] : lines;
}

const percent = (share: number) => `${Math.round(100 * share)} per cent`;
