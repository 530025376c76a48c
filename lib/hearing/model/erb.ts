import { refusal } from "../refusal.ts";

/**
 * Equivalent rectangular bandwidth of the ear's filter at a frequency: about a ninth of the frequency above
 * 1 kHz, wider in proportion below, which is why close chords thicken in the bass.
 *
 * @param frequencyHz centre frequency in Hz, 0 or more
 * @returns bandwidth in Hz; 132.4 at 1 kHz
 * @throws {InputError} when the frequency is negative or not a number
 *
 * Source: Glasberg and Moore 1990, with the constants of ISO 532-2:2017: `24.673 (0.004368 f + 1)`.
 *
 * @example
 * ```ts
 * import { erbHz } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(erbHz(1000), 132.445, 1e-3);
 * ```
 */
export function erbHz(frequencyHz: number): number {
  if (!(frequencyHz >= 0)) {
    throw refusal("find the bandwidth", `the frequency is ${frequencyHz} Hz`, "Give 0 Hz or more");
  }
  return 24.673 * (0.004368 * frequencyHz + 1);
}

/**
 * Place of a frequency on the ERB-number scale, whose unit is the Cam: one Cam is one bandwidth of the ear's
 * filter.
 *
 * @param frequencyHz frequency in Hz, 0 or more
 * @returns ERB number in Cam; 15.59 at 1 kHz
 * @throws {InputError} when the frequency is negative or not a number
 *
 * Source: ISO 532-2:2017: `21.366 log10(0.004368 f + 1)`.
 *
 * @example
 * ```ts
 * import { camOf } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(camOf(1000), 15.5932, 1e-4);
 * ```
 */
export function camOf(frequencyHz: number): number {
  if (!(frequencyHz >= 0)) {
    throw refusal(
      "find the place on the ERB scale",
      `the frequency is ${frequencyHz} Hz`,
      "Give 0 Hz or more",
    );
  }
  return 21.366 * Math.log10(0.004368 * frequencyHz + 1);
}

/**
 * Frequency at a place on the ERB-number scale; the inverse of {@linkcode camOf}.
 *
 * @param cam ERB number in Cam, 0 or more
 * @returns frequency in Hz
 * @throws {InputError} when the place is negative or not a number
 *
 * @example
 * ```ts
 * import { camOf, hzOfCam } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(hzOfCam(camOf(440)), 440, 1e-9);
 * ```
 */
export function hzOfCam(cam: number): number {
  if (!(cam >= 0)) throw refusal("find the frequency", `the place is ${cam} Cam`, "Give 0 Cam or more");
  return (10 ** (cam / 21.366) - 1) / 0.004368;
}
