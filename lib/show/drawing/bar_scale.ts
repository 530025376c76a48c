import type { BarAxis } from "./bar_axis.ts";

/** The bars of a chart in pixels. */
export interface BarScale {
  readonly axis: BarAxis;
  /** Width of the bars with the room left and right of them. */
  readonly width: number;
  readonly marginLeft: number;
  /** Width of all bars. */
  readonly barsWidth: number;
  readonly pixelsPerBar: number;
  /** Pixels between marks of neighbouring bars: none where bars are thin. */
  readonly gap: number;
  /** Left edge of a bar. */
  readonly xOf: (bar: number) => number;
}

/** Room left of the bars for figures, and right of them, in pixels. */
export const MARGIN_LEFT = 52;
export const MARGIN_RIGHT = 16;

export function barScale(
  axis: BarAxis,
  { width, marginLeft = MARGIN_LEFT }: { readonly width: number; readonly marginLeft?: number },
): BarScale {
  const barsWidth = width - marginLeft - MARGIN_RIGHT;
  const count = Math.max(1, axis.toBarIndex + 1 - axis.fromBarIndex);
  const xOf = (bar: number) => marginLeft + (bar - axis.fromBarIndex) / count * barsWidth;
  const pixelsPerBar = barsWidth / count;
  return { axis, width, marginLeft, barsWidth, pixelsPerBar, gap: pixelsPerBar > 5 ? 1 : 0, xOf };
}
