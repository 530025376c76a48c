// @ts-types="@types/d3-array"
import { bisectLeft } from "d3-array";
import { checkOptions } from "../../base/arguments.ts";
import { memo } from "../../base/memo.ts";
import type { Sones } from "../../base/units.ts";
import { erbGrid } from "./erb_grid.ts";
import { componentExcitation } from "./excitation.ts";
import { loudnessSones } from "./loudness.ts";
import { A_MODEL, type LoudnessModel } from "./loudness_constants.ts";
import { refusal } from "../refusal.ts";

const HIGHEST_PHON = 120;
const sonesByModel = memo<Float64Array>(2);

/** Loudness of a 1 kHz tone at 0, 1, 2 ... 120 dB, both ears, free field: the model's own scale of phons. */
function sonesByPhon(model: LoudnessModel): Float64Array {
  const grid = erbGrid();
  return sonesByModel(model, () =>
    Float64Array.from(
      { length: HIGHEST_PHON + 1 },
      (_, level) => loudnessSones(grid, componentExcitation(grid, [1000], [level]), { model }),
    ));
}

/**
 * Loudness level of a sound of known loudness: the level of the 1 kHz tone that the same model finds as loud.
 *
 * @param sones loudness, 0 or more
 * @param options model the loudness came from
 * @returns loudness level in phon; 0 for anything no louder than a 1 kHz tone at 0 dB
 * @throws {InputError} when the loudness is negative, not a number, or above that of a 120 dB tone
 * @throws {InputError} when the model is unknown
 *
 * Source: definition of the phon; the steps between whole phons are read along straight lines over log sones.
 *
 * @example
 * ```ts
 * import { phonOfSones } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(phonOfSones(4.166), 60, 0.01);
 * ```
 */
export function phonOfSones(sones: Sones, options: { readonly model?: LoudnessModel } = {}): number {
  checkOptions("find a loudness level", options, { model: A_MODEL });
  const { model = "ansi2007" } = options;
  const table = sonesByPhon(model);
  if (!(sones >= 0 && sones <= table[HIGHEST_PHON]!)) {
    throw refusal(
      "find a loudness level",
      `the loudness is ${sones} sones`,
      `Give 0 to ${table[HIGHEST_PHON]!.toFixed(1)} sones`,
    );
  }
  if (sones <= table[0]!) return 0;
  const i = bisectLeft(table, sones);
  return i - 1 + Math.log(sones / table[i - 1]!) / Math.log(table[i]! / table[i - 1]!);
}
