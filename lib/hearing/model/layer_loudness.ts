import { A_LIST, checkArgument, checkOptions } from "../../base/arguments.ts";
import type { ErbGrid } from "./erb_grid.ts";
import { checkExcitation, checkSum, earFactor, quiet, SOME_EARS } from "./loudness.ts";
import { compressed, filterConstants } from "./loudness_constants.ts";
import { partial, type PartialLoudnessOptions } from "./partial_loudness.ts";

/** How loud each of several layers is, alone and among the others; sones. */
export interface LayerLoudness {
  /** Loudness of each layer in quiet, in the order given. */
  readonly alone: Float64Array;
  /** Loudness left of each layer while all the others sound. */
  readonly partial: Float64Array;
  /** Loudness of everything together. */
  readonly whole: number;
}

/**
 * Loudness of every layer of a texture, alone and heard against the sum of the others.
 *
 * The partial loudnesses do not add up to the whole: layers that mask each other both lose.
 *
 * @param grid the filters
 * @param layers excitation of each layer, one power per filter, all worked out on this grid
 * @param options one ear or both
 * @returns sones per layer and for the whole; zeros for silence
 * @throws {InputError} when an excitation does not belong to the grid or the ears are unknown
 * @throws {InputError} when an excitation is not a finite number
 *
 * Source: Moore, Glasberg and Baer 1997, equations 17 to 20, with the figures of ANSI S3.4-2007.
 *
 * @example
 * ```ts
 * import { componentExcitation, erbGrid, layerLoudness } from "ripieno/hearing";
 * import { assert } from "@std/assert";
 * const grid = erbGrid({ stepCam: 0.5 });
 * const tune = componentExcitation(grid, [880, 1760], [70, 60]);
 * const pad = componentExcitation(grid, [220, 330, 440, 880], [65, 65, 60, 50]);
 * const heard = layerLoudness(grid, [tune, pad]);
 * assert(heard.partial[0]! < heard.alone[0]! && heard.whole > heard.alone[0]!);
 * ```
 */
export function layerLoudness(
  grid: ErbGrid,
  layers: readonly Float64Array[],
  options: PartialLoudnessOptions = {},
): LayerLoudness {
  checkArgument("compute partial loudness", layers, A_LIST, "excitations of the layers");
  checkOptions("compute partial loudness", options, { ears: SOME_EARS });
  const { ears = "both" } = options;
  for (const layer of layers) checkExcitation(grid, layer);
  const constants = filterConstants(grid, "ansi2007");
  const factor = earFactor(constants.figures.bothEars, ears);
  const sones = constants.figures.scale * grid.stepCam * factor;
  const alone = layers.map((layer) =>
    layer.reduce((sum, signal, c) => signal > 0 ? sum + quiet(constants, c, signal) : sum, 0)
  );
  const heard = loudnessWhileSounding(grid, layers, { soundingShares: layers.map(() => 1), factor });
  return { alone: Float64Array.from(alone, (x) => x * sones), ...heard };
}

/**
 * Loudness of everything together, and what is left of each layer among the others while it sounds: a layer that
 * sounds for a share of the time is taken at the strength it then has, beside the mean of the others. Shares of the
 * time are above 0.
 */
export function loudnessWhileSounding(
  grid: ErbGrid,
  layers: readonly Float64Array[],
  options: { readonly soundingShares: readonly number[]; readonly factor?: number },
): { readonly partial: Float64Array; readonly whole: number } {
  const constants = filterConstants(grid, "ansi2007");
  const { threshold, figures: { bothEars, scale } } = constants;
  const { soundingShares, factor = bothEars } = options;
  const count = layers.length;
  const left = new Float64Array(count);
  const after = new Float64Array(count + 1);
  let whole = 0;
  for (let c = 0; c < threshold.length; c++) {
    // Sums of the layers before and after each one: nothing is subtracted, so a lone layer has exactly no noise.
    for (let i = count - 1; i >= 0; i--) after[i] = after[i + 1]! + layers[i]![c]!;
    const all = after[0]!;
    if (all === 0) continue;
    const total = compressed(constants, c, all);
    whole += all >= threshold[c]! ? total : quiet(constants, c, all);
    let before = 0;
    for (let i = 0; i < count; i++) {
      const mean = layers[i]![c]!;
      if (mean <= 0) continue;
      const noise = before + after[i + 1]!;
      before += mean;
      const share = soundingShares[i]!;
      const signal = share === 1 ? mean : mean / share;
      if (noise === 0) left[i]! += quiet(constants, c, signal);
      else {
        const together = share === 1 ? total : compressed(constants, c, signal + noise);
        left[i]! += partial(constants, c, signal, noise, together);
      }
    }
  }
  checkSum(whole);
  const sones = scale * grid.stepCam * factor;
  return { partial: left.map((x) => x * sones), whole: whole * sones };
}
