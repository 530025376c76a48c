import { refusal } from "../refusal.ts";

/** Pole frequencies of the A-weighting in Hz. Source: IEC 61672-1:2013, Annex E (from memory; checked by its table). */
const POLES_HZ = [20.598997, 107.65265, 737.86223, 12194.217] as const;

function response(frequencyHz: number): number {
  const f2 = frequencyHz ** 2;
  const [p1, p2, p3, p4] = POLES_HZ;
  return p4 ** 2 * f2 ** 2 /
    ((f2 + p1 ** 2) * Math.sqrt((f2 + p2 ** 2) * (f2 + p3 ** 2)) * (f2 + p4 ** 2));
}

/**
 * A-weighting: what a sound level meter set to dB(A) adds at a frequency.
 *
 * A rough stand-in for the ear at low levels; it says nothing about masking. Tables print it at exact base-ten
 * band centres (31.623 Hz for the 31.5 Hz band), so compare there.
 *
 * @param frequencyHz frequency in Hz, more than 0
 * @returns dB, 0 at 1 kHz
 * @throws {InputError} when the frequency is not more than 0
 *
 * Source: IEC 61672-1:2013.
 *
 * @example
 * ```ts
 * import { aWeightingDb } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(aWeightingDb(1000), 0, 1e-12);
 * assertAlmostEquals(aWeightingDb(125.893), -16.1, 0.1); // a cello's C3 loses 16 dB
 * ```
 */
export function aWeightingDb(frequencyHz: number): number {
  if (!(frequencyHz > 0)) {
    throw refusal("weight a frequency", `it is ${frequencyHz} Hz`, "Give a frequency above 0 Hz");
  }
  return 20 * Math.log10(response(frequencyHz) / response(1000));
}
