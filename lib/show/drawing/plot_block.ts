import * as Plot from "@observablehq/plot";
import type { FrameBlock } from "./frame.ts";
import { DOCUMENT, h, plotGroup } from "./svg.ts";

/** What a block is plotted from: the library's own options, with no axes, no colour scale and no margins by default. */
interface PlotBlockInput extends Plot.PlotOptions {
  /** Height in pixels, margins counted. */
  readonly height: number;
  /** What the block is called for those who cannot see it. */
  readonly label?: string;
}

/** One block of a frame, drawn by the chart library. */
export function plotBlock({ label, ...input }: PlotBlockInput): FrameBlock {
  const plot = Plot.plot({
    document: DOCUMENT,
    marginTop: 0,
    marginBottom: 0,
    marginLeft: 0,
    marginRight: 0,
    color: { type: "identity" },
    ...input,
    x: { axis: null, ...input.x },
    y: { axis: null, ...input.y },
  });
  return {
    element: h("g", { "aria-label": label }, plotGroup(plot, { x: 0, y: 0 })),
    height: input.height,
  };
}
