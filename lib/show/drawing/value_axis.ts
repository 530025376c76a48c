/** The upright axis of a panel: figures at the left, fine lines across. */
import * as Plot from "@observablehq/plot";
// @ts-types="@types/d3-array"
import { nice, ticks } from "d3-array";
import { namedMark } from "./named_mark.ts";
import { figure } from "./words.ts";

interface ValueAxisInput {
  readonly bottom: number;
  readonly top: number;
  /** Height of the panel in pixels. */
  readonly height: number;
  /** Sign before positive figures, for differences. Default false. */
  readonly signed?: boolean;
}

/** Figures and lines at round values. */
export function valueAxis({ bottom, top, height, signed = false }: ValueAxisInput): readonly Plot.Markish[] {
  const values = ticks(bottom, top, Math.max(2, Math.floor(height / 50)));
  const figureOf = tickFigures(values);
  return [
    Plot.ruleY(values, { strokeOpacity: 0.12, ...namedMark("grid") }),
    leftAxis(values, (v) => `${signed && v > 0 ? "+" : ""}${figureOf(v)}`),
  ];
}

/** Words or figures at the left, without lines. */
export function leftAxis(values: readonly number[], tickFormat: (value: number) => string): Plot.Markish {
  return Plot.axisY(values, { label: null, tickSize: 0, tickPadding: 6, fontSize: 11, tickFormat });
}

/**
 * The level axis of a panel: fine upright lines at values, figures below it, by default with the decimals the values
 * need.
 */
export function levelAxis(
  values: readonly number[],
  format: (value: number) => string = tickFigures(values),
): readonly Plot.Markish[] {
  return [
    Plot.ruleX(values, { strokeOpacity: 0.12, ...namedMark("grid") }),
    Plot.axisX(values, {
      label: null,
      tickSize: 0,
      tickPadding: 6,
      fontSize: 10,
      fillOpacity: 0.72,
      tickFormat: format,
    }),
  ];
}

/** How figures at ticks are written: all with the decimals that the finest of them needs, but a plain 0. */
export function tickFigures(values: readonly number[]): (value: number) => string {
  const decimals = Math.max(0, ...values.map((v) => String(v).split(".")[1]?.length ?? 0));
  return (value) => figure(value, Math.abs(value) < 1e-9 ? 0 : decimals);
}

/** A round upper end at or above a positive value. */
export function niceTop(value: number): number {
  return nice(0, value, 6)[1];
}
