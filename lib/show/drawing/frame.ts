/** The frame around a chart: title, note, legend, and the drawing in blocks from top to bottom. */
import type { RenderFunction } from "@observablehq/plot";
import type { Severity } from "../../measures/playability/playability_results.ts";
import type { Role } from "../../texture/roles.ts";
import { type Chart, h, svgText } from "./svg.ts";
import { textWidth, wrapText } from "./text_width.ts";
import {
  FONT,
  INK,
  PAPER,
  ROLE_LOOKS,
  roleColour,
  roleInk,
  type RoleLook,
  SEVERITY_LOOKS,
  severityColour,
} from "./theme.ts";

export interface FrameBlock {
  /** What is drawn; it is moved down by the frame. */
  readonly element: SVGElement;
  readonly height: number;
}

/**
 * One entry of a legend: a role's colour and texture, a severity's shape, or a line or patch of one's own, and the words
 * beside it.
 */
export type LegendEntry = readonly [sign: Role | Severity | SVGElement, label: string];

export interface FrameInput {
  /** Name of the chart in ids, for example `momentum`. */
  readonly name: string;
  readonly width: number;
  /** Title; empty for none. */
  readonly title: string;
  /** A sentence below the title; empty for none. */
  readonly note?: string;
  /** The chart in words, for readers who cannot see it. */
  readonly label: string;
  readonly legend: readonly LegendEntry[];
  readonly blocks: readonly FrameBlock[];
}

const SIDE = 12;
const NOTE_SIZE = 12;
/** How much wider bold type is. */
const BOLD = 1.1;
const LEGEND_SIZE = 11;
const LEGEND_LINE = 20;

export function chartFrame(input: FrameInput): Chart {
  const { name, width, title, note = "", label } = input;
  const children: SVGElement[] = [texturesFor(name)];
  let y = title === "" && note === "" ? 6 : 10;
  for (const line of wrapText(title, 16 * BOLD, width - 2 * SIDE)) {
    y += 16;
    children.push(svgText({ text: line, x: SIDE, y, size: 16, weight: 600 }));
    y += 4;
  }
  for (const line of wrapText(note, NOTE_SIZE, width - 2 * SIDE)) {
    y += NOTE_SIZE + 3;
    children.push(svgText({ text: line, x: SIDE, y, size: NOTE_SIZE, opacity: 0.72 }));
  }
  if (title !== "" || note !== "") y += 10;
  if (input.legend.length > 0) {
    const legend = legendRows(input);
    children.push(moved(legend.element, y));
    y += legend.height + 8;
  }
  for (const block of input.blocks) {
    children.push(moved(block.element, y));
    y += block.height;
  }
  const height = Math.ceil(y + 6);
  return h("svg", {
    class: "ripieno-chart",
    role: "img",
    "aria-label": label,
    viewBox: `0 0 ${width} ${height}`,
    width,
    height,
    "font-family": FONT,
    "font-size": 11,
    fill: "currentColor",
    style: `display:block;max-width:100%;height:auto;background:${PAPER};color:${INK}`,
  }, ...children) as unknown as Chart;
}

function moved(element: SVGElement, y: number): SVGElement {
  return h("g", { transform: `translate(0,${y})` }, element);
}

/** The `fill` of a role in a chart: its colour with its texture on it. */
export function roleFill(name: string, role: Role): string {
  return `url(#${textureId(name, role)})`;
}

function textureId(name: string, role: Role): string {
  return `ripieno-${name}-${role}`;
}

function texturesFor(name: string): SVGElement {
  const roles = Object.entries(ROLE_LOOKS) as [Role, RoleLook][];
  const patterns = roles.map(([role, { texture }]) => {
    const size = { width: 8, height: 8 };
    const lines = h("path", {
      d: texture,
      fill: "none",
      stroke: roleInk(role),
      "stroke-width": role === "punctuation" ? 1.6 : 1,
      "stroke-opacity": 0.42,
    });
    return h(
      "pattern",
      { id: textureId(name, role), ...size, patternUnits: "userSpaceOnUse" },
      h("rect", { ...size, fill: roleColour(role) }),
      ...(texture === "" ? [] : [lines]),
    );
  });
  return h("defs", {}, ...patterns);
}

/** Entries from left to right, in as many lines as they need. */
function legendRows({ name, width, legend }: FrameInput): FrameBlock {
  let x = SIDE;
  let y = 0;
  const entries = legend.map(([sign, label]) => {
    const entryWidth = 28 + textWidth(label, LEGEND_SIZE) + 18;
    if (x > SIDE && x + entryWidth > width) {
      x = SIDE;
      y += LEGEND_LINE;
    }
    const place = { transform: `translate(${x},${y})`, class: "legend-entry" };
    x += entryWidth;
    return h("g", place, legendSign(name, sign), svgText({ text: label, x: 28, y: 12, size: LEGEND_SIZE }));
  });
  return { element: h("g", { "aria-label": "legend" }, ...entries), height: y + LEGEND_LINE };
}

function legendSign(name: string, sign: LegendEntry[0]): SVGElement {
  if (typeof sign !== "string") return sign;
  if (sign in SEVERITY_LOOKS) return severityShape(sign as Severity, { x: 11, y: 8 });
  return h("rect", { x: 0, y: 1, width: 22, height: 14, rx: 2, fill: roleFill(name, sign as Role) });
}

/** The shape of a severity around a place in pixels. */
export function severityShape(
  severity: Severity,
  place: { readonly x: number; readonly y: number },
): SVGElement {
  const { shape, filled } = SEVERITY_LOOKS[severity];
  const colour = severityColour(severity);
  return h("path", {
    d: shape,
    transform: `translate(${place.x},${place.y})`,
    fill: filled ? colour : "none",
    stroke: colour,
    "stroke-width": filled ? 0.5 : 2,
  });
}

/** The scales of a plot, as a mark of one's own is given them. */
interface PlaceScales {
  readonly x?: (value: never) => number;
  readonly y?: ((value: never) => number) & { readonly bandwidth?: () => number };
}

/** Severities in a plot: their shapes are not among the library's symbols. */
export function severityMark(
  rows: readonly { readonly severity: Severity; readonly x: number; readonly y: number }[],
  { dx = 0, name }: { readonly dx?: number; readonly name?: string } = {},
): RenderFunction {
  return (_, scales) => {
    const { x, y } = scales as PlaceScales;
    const half = (y?.bandwidth?.() ?? 0) / 2;
    const shapes = rows.map((r) =>
      severityShape(r.severity, { x: x!(r.x as never) + dx, y: y!(r.y as never) + half })
    );
    return h("g", { class: name }, ...shapes);
  };
}
