import { A_RECORD, checkArgument, checkOptions } from "../../base/arguments.ts";
import type { ErbGrid } from "./erb_grid.ts";
import type { Sones } from "../../base/units.ts";
import { specificLoudness } from "./loudness.ts";
import { A_MODEL, type LoudnessModel } from "./loudness_constants.ts";

/** How far along the inner ear one ear quietens the other: `exp(-(0.08 d)^2)` at d Cam, up to 18. */
const SPREAD_PER_CAM = 0.08, WINDOW_CAM = 18;
/** Exponent of the inhibition; with it two equal ears are 1.5 times one. */
const INHIBITION_EXPONENT = 1.5978;

/**
 * Loudness of a sound that differs at the two ears, in sones: a section on the far left, for example.
 *
 * @param grid the filters
 * @param ears excitation at the left and the right ear, one power per filter each
 * @param options model: `iso532_2` lets each ear quieten the other, `ansi2007` simply adds the ears
 * @returns loudness in sones; 0 for silence
 * @throws {InputError} when an excitation does not belong to the grid, or the model is unknown
 *
 * Source: ISO 532-2:2017 (after Moore and Glasberg 2007); ANSI S3.4-2007.
 *
 * @example
 * ```ts
 * import { binauralLoudnessSones, excitationPattern, loudnessSones } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * const { grid, excitation } = excitationPattern([1000], [60]);
 * const same = binauralLoudnessSones(grid, { left: excitation, right: excitation }, { model: "iso532_2" });
 * assertAlmostEquals(same, loudnessSones(grid, excitation, { model: "iso532_2" }), 0.001);
 * ```
 */
export function binauralLoudnessSones(
  grid: ErbGrid,
  ears: { readonly left: Float64Array; readonly right: Float64Array },
  options: { readonly model?: LoudnessModel } = {},
): Sones {
  checkArgument("compute loudness", ears, A_RECORD, "excitations of two ears");
  checkOptions("compute loudness", options, { model: A_MODEL });
  const { model = "ansi2007" } = options;
  const left = specificLoudness(grid, ears.left, { model }),
    right = specificLoudness(grid, ears.right, { model });
  const inhibits = model === "iso532_2";
  const leftSpread = inhibits ? spread(grid, left) : left,
    rightSpread = inhibits ? spread(grid, right) : right;
  let sum = 0;
  for (let c = 0; c < left.length; c++) {
    const l = left[c]!, r = right[c]!;
    if (!inhibits) sum += l + r;
    else {
      const ls = leftSpread[c]!, rs = rightSpread[c]!;
      if (l > 0) sum += l / inhibition(rs / ls);
      if (r > 0) sum += r / inhibition(ls / rs);
    }
  }
  return sum * grid.stepCam;
}

/** By how much an ear is quietened when the other is so many times as loud at the same place: 1 to 2. */
function inhibition(otherOverOwn: number): number {
  return 2 / (1 + (1 / Math.cosh(otherOverOwn)) ** INHIBITION_EXPONENT);
}

/** Specific loudness blurred along the inner ear; only ratios of blurred values are used. */
function spread(grid: ErbGrid, specific: Float64Array): Float64Array {
  const reach = Math.round(WINDOW_CAM / grid.stepCam);
  const weights = Float64Array.from(
    { length: reach + 1 },
    (_, d) => Math.exp(-((SPREAD_PER_CAM * d * grid.stepCam) ** 2)),
  );
  return specific.map((_, c) => {
    let sum = 0;
    for (let d = Math.max(-reach, -c); d <= reach && c + d < specific.length; d++) {
      sum += specific[c + d]! * weights[Math.abs(d)]!;
    }
    return sum;
  });
}
