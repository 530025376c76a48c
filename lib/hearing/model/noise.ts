import { A_NUMBER, AN_ARRAY, checkArgument, checkOptions, oneOf } from "../../base/arguments.ts";
import { powerOfDb } from "../decibels.ts";
import { refusal } from "../refusal.ts";

/** Components of a sound: pure tones of given frequency and level. */
export interface Components {
  /** Frequency of each in Hz. */
  readonly frequenciesHz: Float64Array;
  /** Level of each in dB SPL. */
  readonly levelsDbSpl: Float64Array;
}

/** A band of noise. */
export interface NoiseBand {
  /** Lower edge in Hz. */
  readonly lowHz: number;
  /** Upper edge in Hz. */
  readonly highHz: number;
  /** Level per Hz in dB SPL: of white noise everywhere, of pink noise at 1 kHz. */
  readonly levelDbPerHz: number;
  /** White noise has equal power per Hz, pink noise equal power per octave. @default {"white"} */
  readonly colour?: "white" | "pink";
  /** Distance between the components that stand for the noise, in Hz. @default {10} */
  readonly spacingHz?: number;
}

/**
 * Noise as components, for the excitation models: one every 10 Hz, the first half a step above the lower edge.
 *
 * @param band edges, level, colour, spacing
 * @returns the components; their powers add up to the power of the band
 * @throws {InputError} when the edges or the spacing make no band
 *
 * Source: ISO 532-2:2017, which stands tones 10 Hz apart for noise.
 *
 * @example
 * ```ts
 * import { noiseComponents, sumDecibels } from "ripieno/hearing";
 * import { assertAlmostEquals, assertEquals } from "@std/assert";
 * const noise = noiseComponents({ lowHz: 950, highHz: 1050, levelDbPerHz: 40 });
 * assertEquals([...noise.frequenciesHz].slice(0, 2), [955, 965]);
 * assertAlmostEquals(sumDecibels(noise.levelsDbSpl), 60, 1e-9);
 * ```
 */
export function noiseComponents(band: NoiseBand): Components {
  checkOptions("make noise", band, {
    lowHz: A_NUMBER,
    highHz: A_NUMBER,
    levelDbPerHz: A_NUMBER,
    colour: oneOf(["white", "pink"]),
    spacingHz: A_NUMBER,
  });
  const { lowHz, highHz, levelDbPerHz, colour = "white", spacingHz = 10 } = band;
  if (!(lowHz >= 0 && highHz > lowHz && spacingHz > 0) || !Number.isFinite(highHz)) {
    throw refusal(
      "make noise",
      `it goes from ${lowHz} Hz to ${highHz} Hz every ${spacingHz} Hz`,
      "Give rising edges and a spacing above 0",
    );
  }
  const count = Math.max(1, Math.round((highHz - lowHz) / spacingHz));
  const step = (highHz - lowHz) / count;
  const frequenciesHz = Float64Array.from({ length: count }, (_, i) => lowHz + (i + 0.5) * step);
  const perStepDb = levelDbPerHz + 10 * Math.log10(step);
  return {
    frequenciesHz,
    levelsDbSpl: frequenciesHz.map((hz) =>
      colour === "pink" ? perStepDb - 10 * Math.log10(hz / 1000) : perStepDb
    ),
  };
}

/**
 * Exact centre frequency of a third-octave band. Band 30 is 1 kHz, 14 is 25 Hz.
 *
 * Source: IEC 61260-1:2014, base ten.
 */
export function thirdOctaveCentreHz(number: number): number {
  return 10 ** (number / 10);
}

/**
 * Third-octave band levels as components, for the excitation models.
 *
 * @param levelsDbSpl level of each band in dB SPL, from the lowest up; `-Infinity` is silence
 * @param options `lowestBandHz`: nominal centre of the first band in Hz, 25 when left out
 * @returns components 10 Hz apart, 1 Hz apart in bands up to 125 Hz, white within each band
 * @throws {InputError} when a level is not a number
 *
 * Source: ISO 532-2:2017 (spacing from memory; the results reproduce its Annex B.2.4).
 *
 * @example
 * ```ts
 * import { sumDecibels, thirdOctaveComponents } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * const flat = thirdOctaveComponents(Array(29).fill(40));
 * assertAlmostEquals(sumDecibels(flat.levelsDbSpl), 40 + 10 * Math.log10(29), 1e-9);
 * ```
 */
export function thirdOctaveComponents(
  levelsDbSpl: ArrayLike<number>,
  options: { readonly lowestBandHz?: number } = {},
): Components {
  checkArgument("use band levels", levelsDbSpl, AN_ARRAY);
  checkOptions("use band levels", options, { lowestBandHz: A_NUMBER });
  const first = Math.round(10 * Math.log10(options.lowestBandHz ?? 25));
  const frequencies: number[] = [], levels: number[] = [];
  for (let i = 0; i < levelsDbSpl.length; i++) {
    const level = levelsDbSpl[i]!;
    if (Number.isNaN(level)) {
      throw refusal("use band levels", "one of them is not a number", "Give levels in dB");
    }
    if (powerOfDb(level) === 0) continue;
    const centre = thirdOctaveCentreHz(first + i);
    const lowHz = centre * 10 ** -0.05, highHz = centre * 10 ** 0.05;
    const band = noiseComponents({
      lowHz,
      highHz,
      levelDbPerHz: level - 10 * Math.log10(highHz - lowHz),
      spacingHz: first + i <= 21 ? 1 : 10,
    });
    frequencies.push(...band.frequenciesHz);
    levels.push(...band.levelsDbSpl);
  }
  return { frequenciesHz: Float64Array.from(frequencies), levelsDbSpl: Float64Array.from(levels) };
}
