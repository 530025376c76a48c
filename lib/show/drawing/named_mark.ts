import type { RenderFunction } from "@observablehq/plot";

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
