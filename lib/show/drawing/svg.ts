/** Small helpers to draw what the chart library has no mark for: titles, legends, strips of names. */
import { FONT, PAPER } from "./theme.ts";

/** A chart: an SVG element with its title, legend and labels inside. */
export type Chart = SVGSVGElement;

/** Attributes of an element; numbers are written as they are. */
export type Attributes = Readonly<Record<string, string | number>>;

const NAMESPACE = "http://www.w3.org/2000/svg";

/** An element of a picture, given all at once. */
export interface ElementInput {
  /** Tag, for example `rect`. */
  readonly tag: string;
  /** Attributes. */
  readonly attributes: Attributes;
  /** Elements or text inside. */
  readonly children?: readonly (Node | string)[];
}

/**
 * Makes an SVG element.
 *
 * @param document document to make it in
 * @param input tag, attributes, children
 * @returns the element
 */
export function svgElement(document: Document, { tag, attributes, children = [] }: ElementInput): SVGElement {
  const element = document.createElementNS(NAMESPACE, tag) as SVGElement;
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
  for (const child of children) {
    element.appendChild(typeof child === "string" ? document.createTextNode(child) : child);
  }
  return element;
}

/** Text and how it is set. */
export interface TextInput {
  /** The words. */
  readonly text: string;
  /** Left edge, middle or right edge in pixels, as `anchor` says. */
  readonly x: number;
  /** Base line in pixels. */
  readonly y: number;
  /** Size in pixels. Default 11. */
  readonly size?: number;
  /** Which point of the text `x` is. Default `start`. */
  readonly anchor?: "start" | "middle" | "end";
  /** Weight. Default 400. */
  readonly weight?: number;
  /** Opacity. Default 1. */
  readonly opacity?: number;
  /** Draw a rim in the colour of the paper around it, where it stands on lines. Default false. */
  readonly halo?: boolean;
  /** What pops up over it, where that is more than the text. */
  readonly title?: string;
}

/**
 * Makes a line of text.
 *
 * @param document document to make it in
 * @param input words and place
 * @returns a `text` element
 */
export function svgText(document: Document, input: TextInput): SVGElement {
  const { text, x, y, size = 11, anchor = "start", weight = 400, opacity = 1, halo = false, title } = input;
  const hover = title === undefined || title === text
    ? []
    : [svgElement(document, { tag: "title", attributes: {}, children: [title] })];
  return svgElement(document, {
    tag: "text",
    attributes: {
      x,
      y,
      "font-size": size,
      "text-anchor": anchor,
      ...(weight === 400 ? {} : { "font-weight": weight }),
      ...(opacity === 1 ? {} : { "fill-opacity": opacity }),
      ...(halo
        ? { stroke: PAPER, "stroke-width": 4, "stroke-linejoin": "round", "paint-order": "stroke" }
        : {}),
    },
    children: [...hover, text],
  });
}

/**
 * Takes the drawing out of a plot, so that several stand in one picture.
 *
 * @param document document to make the group in
 * @param plot a plot without title and legend
 * @param place where its left upper corner goes, in pixels
 * @returns a group with the plot's marks
 */
export function plotGroup(
  document: Document,
  plot: Element,
  place: { readonly x: number; readonly y: number },
): SVGElement {
  const group = svgElement(document, {
    tag: "g",
    attributes: {
      transform: `translate(${place.x},${place.y})`,
      "text-anchor": "middle",
      "font-family": FONT,
      "font-size": 11,
      fill: "currentColor",
    },
  });
  for (const child of [...plot.childNodes]) {
    if ((child as Element).tagName?.toLowerCase() !== "style") group.appendChild(child);
  }
  return group;
}
