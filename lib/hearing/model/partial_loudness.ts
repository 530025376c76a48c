import { checkOptions } from "../../base/arguments.ts";
import type { ErbGrid } from "./erb_grid.ts";
import type { Sones } from "../../base/units.ts";
import { checkExcitation, checkSum, earFactor, SOME_EARS } from "./loudness.ts";
import { compressed, type FilterConstants, filterConstants } from "./loudness_constants.ts";

/** How partial loudness is worked out. */
export interface PartialLoudnessOptions {
  /** Whether the sounds reach one ear or both alike. @default {"both"} */
  readonly ears?: "one" | "both";
}

/**
 * Loudness that is left of a sound when others sound with it, in sones: its loudness in quiet when there is
 * nothing else, next to nothing when it is masked.
 *
 * @param grid the filters
 * @param signal excitation of the sound in question, one power per filter
 * @param noise excitation of everything else, one power per filter
 * @param options one ear or both
 * @returns partial loudness in sones
 * @throws {InputError} when an excitation does not belong to the grid or the ears are unknown
 * @throws {InputError} when an excitation is not a finite number
 *
 * Source: Moore, Glasberg and Baer 1997 (J. Audio Eng. Soc. 45, 224-240), equations 17 to 20, with the figures of
 * ANSI S3.4-2007. Above 100 dB of excitation equations 19 and 20 are written with the same growth as loudness in
 * quiet, so that both limits are exact there too.
 *
 * @example
 * ```ts
 * import { componentExcitation, erbGrid, loudnessSones, partialLoudnessSones } from "ripieno/hearing";
 * import { assert, assertAlmostEquals } from "@std/assert";
 * const grid = erbGrid();
 * const flute = componentExcitation(grid, [880, 1760], [60, 45]);
 * const silence = new Float64Array(flute.length);
 * assertAlmostEquals(partialLoudnessSones(grid, flute, silence), loudnessSones(grid, flute), 1e-12);
 * const brass = componentExcitation(grid, [220, 440, 660, 880, 1100, 1320, 1760], [80, 80, 80, 80, 78, 76, 74]);
 * assert(partialLoudnessSones(grid, flute, brass) < 0.01);
 * ```
 */
export function partialLoudnessSones(
  grid: ErbGrid,
  signal: Float64Array,
  noise: Float64Array,
  options: PartialLoudnessOptions = {},
): Sones {
  checkOptions("compute partial loudness", options, { ears: SOME_EARS });
  const { ears = "both" } = options;
  checkExcitation(grid, signal);
  checkExcitation(grid, noise);
  const constants = filterConstants(grid, "ansi2007");
  let sum = 0;
  for (let c = 0; c < signal.length; c++) {
    const s = signal[c]!, n = noise[c]!;
    sum += partial(constants, c, s, n, compressed(constants, c, s + n));
  }
  checkSum(sum);
  return sum * constants.figures.scale * grid.stepCam *
    earFactor(constants.figures.bothEars, ears);
}

/** Compressed excitation that one filter leaves to a signal among noise, before the model's scale. */
export function partial(
  constants: FilterConstants,
  filter: number,
  signal: number,
  noise: number,
  total: number,
): number {
  if (signal <= 0) return 0;
  const masked = constants.masking[filter]! * noise + constants.threshold[filter]!;
  const atMasked = compressed(constants, filter, noise + masked);
  const atThreshold = constants.atThreshold[filter]!;
  if (signal >= masked) return total - (atMasked - atThreshold) * Math.exp(0.3 * Math.log(masked / signal));
  const under = noise > 0 ? compressed(constants, filter, noise) : 0;
  const ratio = 2 * signal / (signal + masked);
  return ratio * Math.sqrt(ratio) * atThreshold * (total - under) / (atMasked - under);
}
