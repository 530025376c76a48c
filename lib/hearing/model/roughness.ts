import { checkOptions, oneOf } from "../../base/arguments.ts";
import { checkComponents, refusal } from "../refusal.ts";

/**
 * Published roughness models: Hutchinson and Knopoff 1978, Sethares 1993 as printed in the paper, Sethares'
 * published program (other constants, the softer amplitude instead of the product), Vassilakis 2001. Their
 * scales differ; compare values of one model only.
 */
export type RoughnessModel = "hutchinson_knopoff" | "sethares_1993" | "sethares_program" | "vassilakis_2001";

/** How {@linkcode roughness} is worked out. */
export interface RoughnessOptions {
  /** Whose model. @default {"hutchinson_knopoff"} */
  readonly model?: RoughnessModel;
}

/** What two partials add, from their frequencies (lower first) and amplitudes. */
type PairRoughness = (lowHz: number, highHz: number, lowAmplitude: number, highAmplitude: number) => number;

/** A model: what a pair adds, and how far apart in Hz two partials may be to matter at all. */
interface Model {
  readonly pair: PairRoughness;
  readonly reachHz: (lowHz: number) => number;
}

/** Beyond this exponent a pair of the Plomp-Levelt curve adds less than 1e-12 of its amplitudes. */
const NEGLIGIBLE = 28;

/** Plomp-Levelt curve as Sethares writes it: difference of two decays, stretched with the lower frequency. */
function beating(a: number, s1: number, s2: number, lowHz: number, highHz: number): number {
  const x = 0.24 / (s1 * lowHz + s2) * (highHz - lowHz);
  return Math.exp(-a * x) - Math.exp(-5.75 * x);
}

function reach(a: number, s1: number, s2: number): (lowHz: number) => number {
  return (lowHz) => NEGLIGIBLE / a * (s1 * lowHz + s2) / 0.24;
}

/** Critical bandwidth of Hutchinson and Knopoff around the mean of two frequencies, in Hz. */
function criticalBandwidthHz(lowHz: number, highHz: number): number {
  return 1.72 * ((lowHz + highHz) / 2) ** 0.65;
}

/** Share of the greatest roughness at a distance in critical bandwidths; 0 from 1.2 on. */
function hutchinsonKnopoffCurve(distance: number): number {
  return distance >= 1.2 ? 0 : (4 * distance * Math.exp(1 - 4 * distance)) ** 2;
}

const MODELS: Readonly<Record<RoughnessModel, Model>> = {
  hutchinson_knopoff: {
    pair: (low, high, a, b) => a * b * hutchinsonKnopoffCurve((high - low) / criticalBandwidthHz(low, high)),
    // Generous: the bandwidth grows with the mean, and no partner beyond 8 f + 100 Hz is within 1.2 of them.
    reachHz: (low) => 1.2 * criticalBandwidthHz(low, low * 8 + 100),
  },
  sethares_1993: {
    pair: (low, high, a, b) => a * b * beating(3.5, 0.021, 19, low, high),
    reachHz: reach(3.5, 0.021, 19),
  },
  sethares_program: {
    pair: (low, high, a, b) => 5 * Math.min(a, b) * beating(3.51, 0.0207, 18.96, low, high),
    reachHz: reach(3.51, 0.0207, 18.96),
  },
  vassilakis_2001: {
    pair: (low, high, a, b) =>
      (a * b) ** 0.1 * 0.5 * (2 * Math.min(a, b) / (a + b)) ** 3.11 * beating(3.5, 0.0207, 18.96, low, high),
    reachHz: reach(3.5, 0.0207, 18.96),
  },
};

/** The roughness models by name. */
export const ROUGHNESS_MODELS: readonly RoughnessModel[] = Object.keys(MODELS) as RoughnessModel[];

/** Partials within a millionth of a semitone are one. Source: Mashinter 2006, after Hutchinson and Knopoff. */
const SAME_RATIO = 2 ** (1e-6 / 12);

/** Partials in rising order without the silent ones; those of equal frequency merge in power where asked. */
function sortedPartials(
  frequenciesHz: ArrayLike<number>,
  amplitudes: ArrayLike<number>,
  merge: boolean,
): { hz: number[]; amplitude: number[] } {
  const order: number[] = [];
  for (let i = 0; i < frequenciesHz.length; i++) {
    const f = frequenciesHz[i]!, a = amplitudes[i]!;
    if (!(f > 0 && Number.isFinite(f)) || !(a >= 0 && Number.isFinite(a))) {
      throw refusal(
        "compute roughness",
        `there is an amplitude of ${a} at ${f} Hz`,
        "Give frequencies above 0 and amplitudes of 0 or more",
      );
    }
    if (a > 0) order.push(i);
  }
  order.sort((i, j) => frequenciesHz[i]! - frequenciesHz[j]! || amplitudes[i]! - amplitudes[j]!);
  const hz: number[] = [], amplitude: number[] = [];
  for (const i of order) {
    const f = frequenciesHz[i]!, a = amplitudes[i]!, last = hz.length - 1;
    if (merge && last >= 0 && f <= hz[last]! * SAME_RATIO) amplitude[last] = Math.hypot(amplitude[last]!, a);
    else {
      hz.push(f);
      amplitude.push(a);
    }
  }
  return { hz, amplitude };
}

/**
 * Roughness of partials sounding together: how much neighbours beat against each other.
 *
 * @param frequenciesHz frequency of each partial in Hz, more than 0
 * @param amplitudes amplitude (sound pressure, not dB) of each partial, 0 or more, in any one unit
 * @param options the model
 * @returns 0 for silence or one partial. Hutchinson and Knopoff: relative to the power, near 0.5 for the
 * roughest pair of equal tones. Sethares: in the unit of the amplitudes (their square for the 1993 form).
 * Vassilakis: his unit without his factor of 100
 * @throws {InputError} when the arrays differ in length or the model is unknown
 * @throws {InputError} when a frequency is not above 0 or an amplitude is negative or not a number
 *
 * Sources: Hutchinson and Knopoff 1978 as in Mashinter 2006 (cut off at 1.2 critical bandwidths, partials of equal
 * frequency merged in power); Sethares, J. Acoust. Soc. Am. 94 (1993) 1218-1228, equations 1 to 5, and his
 * published program; Vassilakis, dissertation, UCLA 2001, equation 6.23, p. 197.
 *
 * @example
 * ```ts
 * import { roughness } from "ripieno/hearing";
 * import { hzOf } from "ripieno/score";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(roughness([hzOf(60), hzOf(61)], [1, 1]), 0.499, 0.001); // a semitone of pure tones
 * ```
 */
export function roughness(
  frequenciesHz: ArrayLike<number>,
  amplitudes: ArrayLike<number>,
  options: RoughnessOptions = {},
): number {
  checkComponents("compute roughness", frequenciesHz, { amplitudes });
  checkOptions("compute roughness", options, { model: oneOf(ROUGHNESS_MODELS) });
  const { model = "hutchinson_knopoff" } = options;
  const chosen = MODELS[model];
  const relative = model === "hutchinson_knopoff";
  const { hz, amplitude } = sortedPartials(frequenciesHz, amplitudes, relative);
  let sum = 0;
  for (let i = 0; i < hz.length; i++) {
    const limit = hz[i]! + chosen.reachHz(hz[i]!);
    for (let j = i + 1; j < hz.length && hz[j]! <= limit; j++) {
      sum += chosen.pair(hz[i]!, hz[j]!, amplitude[i]!, amplitude[j]!);
    }
  }
  if (!relative || sum === 0) return sum;
  return sum / amplitude.reduce((power, a) => power + a * a, 0);
}
