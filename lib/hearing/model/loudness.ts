import {
  A_FILTER_GRID,
  AN_ARRAY,
  checkArgument,
  checkOptions,
  type Kind,
  oneOf,
} from "../../base/arguments.ts";
import type { ErbGrid } from "./erb_grid.ts";
import type { Sones } from "../../base/units.ts";
import { A_MODEL, compressed, filterConstants, type LoudnessModel } from "./loudness_constants.ts";
import { refusal } from "../refusal.ts";

/** How loudness is worked out from excitation. */
export interface LoudnessOptions {
  /** Whose figures. @default {"ansi2007"} */
  readonly model?: LoudnessModel;
  /** Whether the sound reaches one ear or both alike. @default {"both"} */
  readonly ears?: "one" | "both";
}

/**
 * Specific loudness: how much each place along the inner ear adds to the loudness, for one ear.
 *
 * @param grid the filters
 * @param excitation one power per filter
 * @param options the model
 * @returns sones per Cam, one value per filter; 0 where there is no excitation
 * @throws {InputError} when the excitation does not belong to the grid or the model is unknown
 *
 * Source: `C ((G E + A)^alpha - A^alpha)`, times `(2 E / (E + threshold))^1.5` below threshold: Moore, Glasberg
 * and Baer 1997; ISO 532-2:2017.
 *
 * @example
 * ```ts
 * import { excitationPattern, specificLoudness } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * const { grid, excitation } = excitationPattern([1000], [40]);
 * assertAlmostEquals(Math.max(...specificLoudness(grid, excitation)), 0.2318, 1e-3);
 * ```
 */
export function specificLoudness(
  grid: ErbGrid,
  excitation: Float64Array,
  options: Pick<LoudnessOptions, "model"> = {},
): Float64Array {
  checkOptions("compute loudness", options, { model: A_MODEL });
  checkExcitation(grid, excitation);
  const { model = "ansi2007" } = options;
  const constants = filterConstants(grid, model);
  return excitation.map((e, c) => constants.figures.scale * quiet(constants, c, e));
}

/**
 * Loudness of a sound in quiet, in sones. A sound of two sones is twice as loud as one of one sone; a 1 kHz tone
 * at 40 dB is one sone.
 *
 * @param grid the filters
 * @param excitation one power per filter, from {@linkcode excitationPattern} or a sum of
 * {@linkcode componentExcitation}
 * @param options the model, and one ear or both
 * @returns loudness in sones; 0 for silence
 * @throws {InputError} when the excitation does not belong to the grid, or the model or the ears are unknown
 * @throws {InputError} when an excitation is negative or not a finite number
 *
 * Source: ANSI S3.4-2007 (two ears count twice one ear) or ISO 532-2:2017 (1.5 times).
 *
 * @example
 * ```ts
 * import { excitationPattern, loudnessSones } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * const { grid, excitation } = excitationPattern([1000], [40]);
 * assertAlmostEquals(loudnessSones(grid, excitation), 1, 0.01);
 * assertAlmostEquals(loudnessSones(grid, excitation, { model: "iso532_2" }), 1, 0.01);
 * ```
 */
export function loudnessSones(grid: ErbGrid, excitation: Float64Array, options: LoudnessOptions = {}): Sones {
  checkOptions("compute loudness", options, { model: A_MODEL, ears: SOME_EARS });
  checkExcitation(grid, excitation);
  const { model = "ansi2007", ears = "both" } = options;
  const constants = filterConstants(grid, model);
  let sum = 0;
  for (let c = 0; c < excitation.length; c++) sum += quiet(constants, c, excitation[c]!);
  checkSum(sum);
  return sum * constants.figures.scale * grid.stepCam * earFactor(constants.figures.bothEars, ears);
}

/** Refuses what came of excitations that are not numbers of 0 or more. */
export function checkSum(sum: number): void {
  if (!(sum >= 0 && sum < Infinity)) {
    throw refusal(
      "compute loudness",
      "an excitation is negative or not a finite number",
      "Give what componentExcitation gives",
    );
  }
}

/** The ears that options take. */
export const SOME_EARS: Kind = oneOf(["one", "both"]);

/** What `ears` multiplies a loudness by. */
export function earFactor(bothEars: number, ears: "one" | "both"): number {
  return ears === "both" ? bothEars : 1;
}

/** Compressed excitation of one filter in quiet, with the drop below threshold and before the scale. */
export function quiet(
  constants: ReturnType<typeof filterConstants>,
  filter: number,
  excitation: number,
): number {
  const above = compressed(constants, filter, excitation);
  const threshold = constants.threshold[filter]!;
  if (excitation >= threshold) return above;
  const ratio = 2 * excitation / (excitation + threshold);
  return above * ratio * Math.sqrt(ratio);
}

/** Refuses an excitation made for another grid. */
export function checkExcitation(grid: ErbGrid, excitation: Float64Array): void {
  checkArgument("compute loudness", grid, A_FILTER_GRID);
  checkArgument("compute loudness", excitation, AN_ARRAY, "an excitation");
  if (excitation.length !== grid.centresHz.length) {
    throw refusal(
      "compute loudness",
      `an excitation has ${excitation.length} filters, the grid ${grid.centresHz.length}`,
      "Give an excitation on the same grid",
    );
  }
}
