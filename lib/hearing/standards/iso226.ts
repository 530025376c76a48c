// @ts-types="@types/d3-array"
import { bisector } from "d3-array";
import { checkOptions, oneOf } from "../../base/arguments.ts";
import { CONTOUR_PARAMETERS, type Iso226Edition } from "./iso226_parameters.ts";
import type { Decibels } from "../../base/units.ts";
import { refusal } from "../refusal.ts";

/** Which edition of ISO 226 is meant. */
export interface EqualLoudnessOptions {
  /** Edition of the standard. @default {"2023"} */
  readonly edition?: Iso226Edition;
}

const AN_EDITION = oneOf(Object.keys(CONTOUR_PARAMETERS));

/** Lowest loudness level the contours are valid for, in phon. */
const LOWEST_PHON = 20;

function highestPhon(frequencyHz: number): number {
  return frequencyHz <= 4000 ? 90 : 80;
}

/** Parameters at any frequency, along straight lines between the table's rows over the logarithm of frequency. */
function parametersAt(
  frequencyHz: number,
  edition: Iso226Edition,
): { alpha: number; lu: number; tf: number } {
  const rows = CONTOUR_PARAMETERS[edition];
  if (!(frequencyHz >= 20 && frequencyHz <= 12500)) {
    throw refusal("find a contour", `the frequency is ${frequencyHz} Hz`, "ISO 226 covers 20 Hz to 12500 Hz");
  }
  const i = Math.max(1, bisector((row: (typeof rows)[number]) => row[0]).left(rows, frequencyHz));
  const [f0, a0, u0, t0] = rows[i - 1]!, [f1, a1, u1, t1] = rows[i]!;
  const share = Math.log(frequencyHz / f0) / Math.log(f1 / f0);
  const between = (low: number, high: number) => low + (high - low) * share;
  return { alpha: between(a0, a1), lu: between(u0, u1), tf: between(t0, t1) };
}

function refuseOutside(phon: number, frequencyHz: number, room: number): void {
  if (phon >= LOWEST_PHON - room && phon <= highestPhon(frequencyHz) + room) return;
  throw refusal(
    "find a contour",
    `the loudness level is ${phon} phon at ${frequencyHz} Hz`,
    `ISO 226 is valid from ${LOWEST_PHON} phon to ${highestPhon(frequencyHz)} phon there`,
  );
}

/**
 * Equal-loudness contour: the level a pure tone needs to be as loud as a 1 kHz tone of so many dB.
 *
 * @param phon loudness level, 20 to 90 phon up to 4 kHz and 20 to 80 phon above
 * @param frequencyHz frequency in Hz, 20 to 12500; between the standard's frequencies its parameters are read
 * along straight lines over the logarithm of frequency, which the standard does not prescribe
 * @param options edition
 * @returns level in dB SPL, free field, both ears
 * @throws {InputError} outside the ranges above
 * @throws {InputError} when the edition is unknown
 *
 * Source: ISO 226:2003 or ISO 226:2023, formula (1) and Table 1. The 2003 edition gives 40.01 dB at 1 kHz and
 * 40 phon; that is its own rounding.
 *
 * @example
 * ```ts
 * import { equalLoudnessLevelDb } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(equalLoudnessLevelDb(40, 63), 73.0, 0.05); // low notes need far more sound
 * ```
 */
export function equalLoudnessLevelDb(
  phon: number,
  frequencyHz: number,
  options: EqualLoudnessOptions = {},
): Decibels {
  checkOptions("find a contour", options, { edition: AN_EDITION });
  const { edition = "2023" } = options;
  const { alpha, lu, tf } = parametersAt(frequencyHz, edition);
  refuseOutside(phon, frequencyHz, 0);
  if (edition === "2003") {
    const a = 4.47e-3 * (10 ** (0.025 * phon) - 1.15) + (0.4 * 10 ** ((tf + lu) / 10 - 9)) ** alpha;
    return 10 / alpha * Math.log10(a) - lu + 94;
  }
  const a = 4e-10 ** (0.3 - alpha) * (10 ** (0.03 * phon) - 10 ** 0.072) + 10 ** (alpha * (tf + lu) / 10);
  return 10 / alpha * Math.log10(a) - lu;
}

/**
 * Loudness level of a pure tone in phon: the level of the 1 kHz tone that is as loud. The exact inverse of
 * {@linkcode equalLoudnessLevelDb}.
 *
 * @param levelDbSpl level of the tone in dB SPL
 * @param frequencyHz frequency in Hz, 20 to 12500
 * @param options edition
 * @returns loudness level in phon
 * @throws {InputError} when the frequency, or the loudness level that results, is outside the standard's range
 * @throws {InputError} when the edition is unknown
 *
 * Source: ISO 226:2003 or ISO 226:2023, formula (1) solved for the loudness level.
 *
 * @example
 * ```ts
 * import { loudnessLevelPhon } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(loudnessLevelPhon(60, 63), 21.6, 0.05);
 * ```
 */
export function loudnessLevelPhon(
  levelDbSpl: number,
  frequencyHz: number,
  options: EqualLoudnessOptions = {},
): number {
  checkOptions("find a contour", options, { edition: AN_EDITION });
  const { edition = "2023" } = options;
  const { alpha, lu, tf } = parametersAt(frequencyHz, edition);
  const compressed = edition === "2003"
    ? (10 ** (alpha * (levelDbSpl + lu - 94) / 10) - (0.4 * 10 ** ((tf + lu) / 10 - 9)) ** alpha) /
        4.47e-3 +
      1.15
    : (10 ** (alpha * (levelDbSpl + lu) / 10) - 10 ** (alpha * (tf + lu) / 10)) / 4e-10 ** (0.3 - alpha) +
      10 ** 0.072;
  const phon = Math.log10(compressed) / (edition === "2003" ? 0.025 : 0.03);
  // Room enough to read back the limits from levels printed to a tenth of a decibel.
  refuseOutside(phon, frequencyHz, 0.1);
  return phon;
}
