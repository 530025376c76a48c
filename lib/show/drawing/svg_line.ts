import { type Attributes, h } from "./svg.ts";

/**
 * Makes a line in the colour of the ink.
 *
 * @param document document to make it in
 * @param d its path
 * @param attributes what differs from a plain line
 * @returns a `path` element
 */
export function svgLine(document: Document, d: string, attributes: Attributes = {}): SVGElement {
  return h(document, "path", { d, fill: "none", stroke: "currentColor", ...attributes });
}
