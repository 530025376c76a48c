/** Ways of drawing a mark: in a group of a class, and with fills that are joined. */
import type { RenderFunction } from "@observablehq/plot";
import { h } from "./svg.ts";

/** Gives a mark's group a class, so that a page can style it and a test can count what is drawn. */
export function namedMark(name: string): { readonly render: RenderFunction } {
  return {
    render: (index, scales, values, dimensions, context, next) => {
      const group = next?.(index, scales, values, dimensions, context) ?? null;
      group?.setAttribute("class", name);
      return group;
    },
  };
}

/**
 * Gives a mark's group of rectangles a class and fills them with one path per fill, drawn below them; the rectangles
 * stay as outlines that name themselves under the mouse. A texture is then laid once per role instead of once per
 * bar: hundreds of textured rectangles make a printed page slow and tens of megabytes heavy.
 */
export function joinedFills(name: string): { readonly render: RenderFunction } {
  return {
    render: (index, scales, values, dimensions, context, next) => {
      const group = next?.(index, scales, values, dimensions, context) ?? null;
      if (group === null) return null;
      group.setAttribute("class", name);
      const outlines = new Map<string, string[]>();
      for (const rect of group.children) {
        const fill = rect.getAttribute("fill") ?? group.getAttribute("fill") ?? "currentColor";
        outlines.set(fill, [...outlines.get(fill) ?? [], outlineOf(rect, group)]);
        rect.removeAttribute("fill");
      }
      group.setAttribute("fill", "none");
      group.setAttribute("pointer-events", "all");
      const sharpness = group.getAttribute("shape-rendering");
      const fills = h("g", {
        class: `${name}-fills`,
        ...(sharpness === null ? {} : { "shape-rendering": sharpness }),
      }, ...[...outlines].map(([fill, paths]) => h("path", { fill, d: paths.join("") })));
      return h("g", {}, fills, group);
    },
  };
}

/** A rectangle, with its rounded corners where it has some, as a path. */
function outlineOf(rect: Element, group: Element): string {
  const number = (name: string) => Number(rect.getAttribute(name) ?? group.getAttribute(name) ?? 0);
  const [x, y, width, height] = [number("x"), number("y"), number("width"), number("height")];
  const r = Math.min(number("rx"), width / 2, height / 2);
  const at = (value: number) => String(Math.round(value * 100) / 100);
  if (r <= 0) return `M${at(x)} ${at(y)}h${at(width)}v${at(height)}h${at(-width)}z`;
  const corner = (dx: number, dy: number) => `a${at(r)} ${at(r)} 0 0 1 ${at(dx * r)} ${at(dy * r)}`;
  return `M${at(x + r)} ${at(y)}h${at(width - 2 * r)}${corner(1, 1)}v${at(height - 2 * r)}${corner(-1, 1)}` +
    `h${at(2 * r - width)}${corner(-1, -1)}v${at(2 * r - height)}${corner(1, -1)}z`;
}
