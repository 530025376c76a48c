import { dbOfPower, powerOfDb } from "../decibels.ts";
import { thirdOctaveCentreHz } from "../model/noise.ts";
import { checkComponents, refusal } from "../refusal.ts";

/** Relative bandwidth of a third octave, inverted: centre over the distance between the half-power edges. */
const QUALITY = 1 / (10 ** 0.05 - 10 ** -0.05);

/**
 * Third-octave levels of a sound given as components, as filters would measure them: each tone leaks into the
 * bands around its own, 18 dB down next door and 37 dB two bands off.
 *
 * Without the leakage ISO 532-1 makes a tone up to 13 % too soft.
 *
 * @param frequenciesHz frequency of each component in Hz, more than 0
 * @param levelsDbSpl level of each component in dB SPL
 * @returns 28 band levels in dB SPL, 25 Hz to 12.5 kHz; `-Infinity` for silence
 * @throws {InputError} when the arrays differ in length
 * @throws {InputError} when a frequency is not more than 0 or a level is not a number
 *
 * Source: magnitude of third-order Butterworth filters, `1 / (1 + (Q (f/fc - fc/f))^6)`; centres of IEC 61260-1:2014.
 *
 * @example
 * ```ts
 * import { thirdOctaveLevels, zwickerLoudness } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * const tone = zwickerLoudness(thirdOctaveLevels([1000], [60]));
 * assertAlmostEquals(tone.sones, 4.019, 0.1); // ISO 532-1:2017, Annex B.3, third signal
 * ```
 */
export function thirdOctaveLevels(
  frequenciesHz: ArrayLike<number>,
  levelsDbSpl: ArrayLike<number>,
): Float64Array {
  checkComponents("find band levels", frequenciesHz, { levels: levelsDbSpl });
  const power = new Float64Array(28);
  for (let i = 0; i < frequenciesHz.length; i++) {
    const hz = frequenciesHz[i]!, level = levelsDbSpl[i]!;
    if (!(hz > 0) || Number.isNaN(level)) {
      throw refusal(
        "find band levels",
        `there are ${level} dB at ${hz} Hz`,
        "Give frequencies above 0 and levels in dB",
      );
    }
    for (let band = 0; band < 28; band++) {
      const ratio = hz / thirdOctaveCentreHz(14 + band);
      power[band]! += powerOfDb(level) / (1 + (QUALITY * (ratio - 1 / ratio)) ** 6);
    }
  }
  return power.map(dbOfPower);
}
