/** How strongly a rhythm is felt as a pulse (Parncutt 1994). */
import { A_NUMBER, checkArgument, checkOptions } from "../../base/arguments.ts";

/**
 * Accent that a note gets from the time to the next onset: long notes count more, up to a saturation.
 *
 * @param seconds time to the next onset
 * @param options `saturationSeconds` (tau) and `exponent`
 * @returns 0 to 1
 *
 * Source: Parncutt, A Perceptual Model of Pulse Salience and Metrical Accent in Musical Rhythms, Music
 * Perception 11 (1994) 409-464, equation 3: (1 - exp(-IOI / tau))^i with tau 0.5 s and i 2.
 *
 * @example
 * ```ts
 * import { durationalAccent } from "ripieno/measures";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(durationalAccent(0.5), 0.399576, 1e-6);
 * ```
 */
export function durationalAccent(
  seconds: number,
  options: { readonly saturationSeconds?: number; readonly exponent?: number } = {},
): number {
  checkArgument("work out the accent", seconds, A_NUMBER, "seconds");
  checkOptions("work out the accent", options, { saturationSeconds: A_NUMBER, exponent: A_NUMBER });
  const { saturationSeconds = 0.5, exponent = 2 } = options;
  return (1 - Math.exp(-seconds / saturationSeconds)) ** exponent;
}

/**
 * How comfortable a period is as a pulse: 1 at 0.6 s, less for faster and slower.
 *
 * @param seconds the period
 * @param options `centreSeconds` (mu) and `spreadLog10` (sigma)
 * @returns 0 to 1
 *
 * Source: Parncutt 1994, equation 6: exp(-0.5 (log10(P / mu) / sigma)^2) with mu 0.6 s and sigma 0.2.
 *
 * @example
 * ```ts
 * import { pulsePeriodSalience } from "ripieno/measures";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(pulsePeriodSalience(1.2), 0.32215, 1e-6);
 * ```
 */
export function pulsePeriodSalience(
  seconds: number,
  options: { readonly centreSeconds?: number; readonly spreadLog10?: number } = {},
): number {
  checkArgument("work out the salience", seconds, A_NUMBER, "seconds");
  checkOptions("work out the salience", options, { centreSeconds: A_NUMBER, spreadLog10: A_NUMBER });
  const { centreSeconds = 0.6, spreadLog10 = 0.2 } = options;
  return Math.exp(-0.5 * (Math.log10(seconds / centreSeconds) / spreadLog10) ** 2);
}
