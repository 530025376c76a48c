import { erbHz, hzOfCam } from "./erb.ts";

/** The filters a sound is heard through: evenly spaced places on the ERB-number scale. */
export interface ErbGrid {
  /** Distance between neighbours in Cam. */
  readonly stepCam: number;
  /** Place of each filter on the ERB-number scale, in Cam. */
  readonly centresCam: Float64Array;
  /** Centre frequency of each filter in Hz. */
  readonly centresHz: Float64Array;
  /** Bandwidth of each filter in Hz. */
  readonly bandwidthsHz: Float64Array;
}

/** How {@linkcode erbGrid} spaces its filters. */
export interface ErbGridOptions {
  /** Distance between neighbours in Cam, from 0.01 to 1; 0.1 is the standard's. @default {0.1} */
  readonly stepCam?: number;
}

/** Lowest filter of the loudness models in Cam (49 Hz). Source: ISO 532-2:2017. */
export const LOWEST_CAM = 1.8;
/** Highest filter of the loudness models in Cam (14.9 kHz). Source: ISO 532-2:2017. */
export const HIGHEST_CAM = 38.9;

/**
 * Lays the filters of the ear out between 1.8 and 38.9 Cam (49 Hz to 14.9 kHz).
 *
 * A step of 0.1 (372 filters) is the standard's. A step of 0.5 (75 filters) is five times faster.
 *
 * @param options spacing
 * @returns the grid; make it once and pass it around, since per-filter constants are kept with it
 * @throws {RangeError} when the step is not between 0.01 and 1
 *
 * @example
 * ```ts
 * import { erbGrid } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(erbGrid().centresHz.length, 372);
 * assertEquals(erbGrid({ stepCam: 0.5 }).centresHz.length, 75);
 * ```
 */
export function erbGrid(options: ErbGridOptions = {}): ErbGrid {
  const { stepCam = 0.1 } = options;
  if (!(stepCam >= 0.01 && stepCam <= 1)) {
    throw new RangeError(`Cannot lay out filters ${stepCam} Cam apart: give a step between 0.01 and 1`);
  }
  const count = Math.floor((HIGHEST_CAM - LOWEST_CAM) / stepCam + 1e-9) + 1;
  const centresCam = Float64Array.from({ length: count }, (_, i) => LOWEST_CAM + i * stepCam);
  const centresHz = centresCam.map(hzOfCam);
  return { stepCam, centresCam, centresHz, bandwidthsHz: centresHz.map(erbHz) };
}
