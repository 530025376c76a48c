/** The upright axis of a panel: figures at the left, fine lines across. */
import * as Plot from "@observablehq/plot";
import { namedMark } from "./named_mark.ts";

/** What an axis is made from. */
export interface ValueAxisInput {
  /** Lower end. */
  readonly bottom: number;
  /** Upper end. */
  readonly top: number;
  /** Height of the panel in pixels. */
  readonly height: number;
  /** Sign before positive figures, for differences. Default false. */
  readonly signed?: boolean;
}

/**
 * Figures and lines at round values.
 *
 * @param input ends of the axis, height of the panel
 * @returns marks
 */
export function valueAxis({ bottom, top, height, signed = false }: ValueAxisInput): readonly Plot.Markish[] {
  const values = roundValues(bottom, top, Math.max(2, Math.floor(height / 42)));
  const decimals = values.some((v) => !Number.isInteger(v)) ? 1 : 0;
  const inner = values.filter((v) => (v - bottom) / (top - bottom) > -1e-9);
  return [
    Plot.ruleY(inner, { strokeOpacity: 0.12, ...namedMark("grid") }),
    Plot.axisY(inner, {
      label: null,
      tickSize: 0,
      tickPadding: 6,
      fontSize: 11,
      tickFormat: (v: number) =>
        `${signed && v > 0 ? "+" : ""}${v.toFixed(Math.abs(v) < 1e-9 ? 0 : decimals).replace("-", "−")}`,
    }),
  ];
}

/**
 * Round values within the ends, a step of 1, 2 or 5 times a power of ten apart.
 *
 * @param bottom lower end
 * @param top upper end
 * @param most about how many at most
 * @returns values in order
 */
export function roundValues(bottom: number, top: number, most: number): readonly number[] {
  const rough = (top - bottom) / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((m) => m * power).find((s) => s >= rough * 0.999) ?? 10 * power;
  const values: number[] = [];
  for (let k = Math.ceil(bottom / step - 1e-9); k * step <= top + 1e-9; k++) {
    values.push(Math.round(k * step * 1e6) / 1e6);
  }
  return values;
}

/**
 * A round upper end at or above a value.
 *
 * @param value the largest value, positive
 * @returns the end of the axis
 */
export function niceTop(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  return ([1, 1.5, 2, 3, 4, 5, 6, 8, 10].find((m) => m * power >= value) ?? 10) * power;
}
