/** Signs of a legend beside those of roles and severities, and the texture that says "beyond what is easy". */
import { type Attributes, h } from "./svg.ts";

/** A filled patch. */
export function patch(attributes: Attributes): SVGElement {
  return h("rect", { y: 2, width: 22, height: 12, ...attributes });
}

/** A patch with an outline. */
export function outlined(attributes: Attributes): SVGElement {
  return h("rect", { x: 0.5, y: 2, width: 21, height: 12, ...attributes });
}

export function levelLine(attributes: Attributes): SVGElement {
  return h("path", { d: "M0 8H22", ...attributes });
}

/** Definition of a texture of slanted lines, to be drawn once in a chart and used as `url(#id)`. */
export function hatch(
  { id, ground, ink, lineWidth }: {
    readonly id: string;
    readonly ground: string;
    readonly ink: string;
    readonly lineWidth: number;
  },
): SVGElement {
  const d = "M-1.5 1.5L1.5 -1.5M0 6L6 0M4.5 7.5L7.5 4.5";
  return h(
    "defs",
    {},
    h(
      "pattern",
      { id, width: 6, height: 6, patternUnits: "userSpaceOnUse" },
      h("rect", { width: 6, height: 6, fill: ground }),
      h("path", { d, stroke: ink, "stroke-width": lineWidth }),
    ),
  );
}
