import { checkOptions } from "../../base/arguments.ts";
import { erbHz, hzOfCam } from "./erb.ts";
import { refusal } from "../refusal.ts";

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
  /** Wanted distance between neighbours in Cam, from 0.01 to 1; 0.1 is the standard's. @default {0.1} */
  readonly stepCam?: number;
}

/**
 * Stretch of the inner ear that the loudness models add up, in Cam: filters from 1.8 to 38.9 (49 Hz to
 * 14.9 kHz), each standing for 0.1 Cam. Source: ISO 532-2:2017.
 */
const STRETCH_CAM: readonly [number, number] = [1.75, 38.95];

/**
 * Lays the filters of the ear out over the stretch that the loudness models add up, 49 Hz to 15 kHz.
 *
 * The stretch is cut into equal cells with a filter in the middle of each, so the step is adjusted slightly
 * where it does not divide 37.2 Cam. The standard's step of 0.1 gives its 372 filters, from 1.8 to 38.9 Cam. A
 * step of 0.5 gives 74 filters, five times faster; single tones of 60 dB and more from 60 Hz up then come out
 * within 1 % in sones, one of 40 dB within 0.003 sone from 100 Hz up.
 *
 * @param options spacing
 * @returns the grid; make it once and pass it around, since per-filter constants are kept with it
 * @throws {InputError} when the step is not between 0.01 and 1
 *
 * @example
 * ```ts
 * import { erbGrid } from "ripieno/hearing";
 * import { assertAlmostEquals, assertEquals } from "@std/assert";
 * const standard = erbGrid();
 * assertEquals(standard.centresCam.length, 372);
 * assertAlmostEquals(standard.centresCam[0]!, 1.8, 1e-12);
 * assertEquals(erbGrid({ stepCam: 0.5 }).centresCam.length, 74);
 * ```
 */
export function erbGrid(options: ErbGridOptions = {}): ErbGrid {
  checkOptions("lay out filters", options, { stepCam: undefined });
  const { stepCam = 0.1 } = options;
  if (!(stepCam >= 0.01 && stepCam <= 1)) {
    throw refusal("lay out filters", `the step is ${stepCam} Cam`, "Give a step from 0.01 to 1");
  }
  const [low, high] = STRETCH_CAM;
  const count = Math.round((high - low) / stepCam);
  const step = (high - low) / count;
  const centresCam = Float64Array.from({ length: count }, (_, i) => low + (i + 0.5) * step);
  const centresHz = centresCam.map(hzOfCam);
  return { stepCam: step, centresCam, centresHz, bandwidthsHz: centresHz.map(erbHz) };
}
