/** Small helpers to draw what the chart library has no mark for: titles, legends, strips of names. */
import { chartDocument } from "./chart_document.ts";
import { FONT, PAPER } from "./theme.ts";

/** A chart: an SVG element with its title, legend and labels inside. */
export type Chart = SVGSVGElement;

/** Class of drawings that say nothing under the mouse: wherever a picture does, they may be one. */
export const STILL = "ripieno-engraving";

/** Attributes of an element; numbers are written as they are, undefined ones left out, `title` pops up over it. */
export type Attributes = Readonly<Record<string, string | number | undefined>>;

const NAMESPACE = "http://www.w3.org/2000/svg";

/** The document all charts are made in; none of them is hung into it. */
export const DOCUMENT: Document = chartDocument();

export function h(
  tag: string,
  attributes: Attributes = {},
  ...children: readonly (Node | string)[]
): SVGElement {
  const element = DOCUMENT.createElementNS(NAMESPACE, tag) as SVGElement;
  const { title, ...others } = attributes;
  for (const [name, value] of Object.entries(others)) {
    if (value !== undefined) element.setAttribute(name, String(value));
  }
  const hover = title === undefined ? [] : [h("title", {}, String(title))];
  for (const child of [...hover, ...children]) {
    element.appendChild(typeof child === "string" ? DOCUMENT.createTextNode(child) : child);
  }
  return element;
}

interface TextInput {
  readonly text: string;
  /** Left edge, middle or right edge in pixels, as `anchor` says. */
  readonly x: number;
  /** Base line in pixels. */
  readonly y: number;
  readonly size?: number;
  /** Which point of the text `x` is. Default `start`. */
  readonly anchor?: "start" | "middle" | "end";
  readonly weight?: number | undefined;
  readonly opacity?: number | undefined;
  /** Draw a rim in the colour of the paper around it, where it stands on lines. Default false. */
  readonly halo?: boolean;
  /** What pops up over it, where that is more than the text. */
  readonly title?: string | undefined;
}

export function svgText(input: TextInput): SVGElement {
  const { text, x, y, size = 11, anchor = "start", weight, opacity, halo = false, title } = input;
  return h("text", {
    x,
    y,
    "font-size": size,
    "text-anchor": anchor,
    "font-weight": weight,
    "fill-opacity": opacity,
    ...(halo
      ? { stroke: PAPER, "stroke-width": 4, "stroke-linejoin": "round", "paint-order": "stroke" }
      : {}),
    title: title === text ? undefined : title,
  }, text);
}

/** Takes the drawing out of a plot, so that several stand in one picture. */
export function plotGroup(plot: Element, place: { readonly x: number; readonly y: number }): SVGElement {
  const group = h("g", {
    transform: `translate(${place.x},${place.y})`,
    "text-anchor": "middle",
    "font-family": FONT,
    "font-size": 11,
    fill: "currentColor",
  });
  for (const child of [...plot.childNodes]) {
    if ((child as Element).tagName?.toLowerCase() !== "style") group.appendChild(child);
  }
  return group;
}
