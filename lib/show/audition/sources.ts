/** What sounds are read from: one period for each pitch and dynamic, and loops of noise. Each is made once. */
import { memo } from "../../base/memo.ts";
import { hzOf } from "../../base/units.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { noiseBands } from "../../instruments/sound/noise_bands.ts";
import { harmonicLevels } from "../../instruments/sound/spectra.ts";
import { chance, chances } from "./chance.ts";
import { loopOf } from "./wave_of.ts";

/** Sources of sound at one sample rate. */
export interface Sources {
  /** One period of a pitched sound, mean square 1; its length is a power of two, and one sample more closes it. */
  readonly period: (instrument: Instrument, at: SoundAt) => Float32Array;
  /** Shares of the energy of a pitched sound that its harmonics have, from the first on. */
  readonly shares: (instrument: Instrument, at: SoundAt) => Float64Array;
  /** A loop of the noise an unpitched instrument gives, mean square 1; undefined for a pitched one. */
  readonly percussion: (instrument: Instrument, at: SoundAt) => Float32Array | undefined;
  /** A loop of the noise beside a pitched sound, mean square 1. */
  readonly beside: (band: NoiseRange) => Float32Array;
}

/** How a note is played, as far as its spectrum goes. */
interface SoundAt {
  readonly soundingPitch: number;
  readonly dynamic: number;
  readonly technique: string;
}

/** Where noise lies. */
export interface NoiseRange {
  readonly lowHz: number;
  readonly highHz: number;
}

/** A loop of noise is one and a half seconds long at the usual rate, too long to be heard as one. */
const NOISE_SAMPLES = 2 ** 16;
/** Samples for each harmonic of a period: enough to read between them in straight lines. */
const SAMPLES_PER_HARMONIC = 16;
const SHORTEST_PERIOD = 256, LONGEST_PERIOD = 4096;
/** Dynamics are rounded to this step before sounds are kept, as in the balance. */
const DYNAMIC_STEP = 0.25;
const KEPT = 5_000;

/** Prepares the sources. */
export function sourcesOf(sampleRate: number, seed: number): Sources {
  const periods = memo<Float32Array>(KEPT), noises = memo<Float32Array>(KEPT);
  const keyOf = ({ id }: Instrument, { soundingPitch, dynamic, technique }: SoundAt) =>
    `${id} ${soundingPitch} ${Math.round(dynamic / DYNAMIC_STEP)} ${technique}`;
  const rounded = (dynamic: number) => Math.round(dynamic / DYNAMIC_STEP) * DYNAMIC_STEP;
  return {
    period: (instrument, at) =>
      periods(keyOf(instrument, at), () => {
        const { soundingPitch, technique } = at;
        const levels = harmonicLevels(instrument, soundingPitch, rounded(at.dynamic), { technique });
        const heard = Math.floor(sampleRate / 2 / hzOf(soundingPitch));
        const amplitudes = [0, ...levels.subarray(0, Math.max(1, heard))].map((db, k) =>
          k === 0 ? 0 : 10 ** (db / 20)
        );
        const enough = 2 ** Math.ceil(Math.log2(amplitudes.length * SAMPLES_PER_HARMONIC));
        const length = Math.min(LONGEST_PERIOD, Math.max(SHORTEST_PERIOD, enough));
        // The same phases at every dynamic, so that one can go over into another.
        return loopOf(length, amplitudes, (k) => chance(seed, k, soundingPitch * 1000));
      }),
    shares: (instrument, at) => {
      const { soundingPitch, technique } = at;
      const powers = harmonicLevels(instrument, soundingPitch, rounded(at.dynamic), { technique }).map((db) =>
        10 ** (db / 10)
      );
      const sum = powers.reduce((a, b) => a + b, 0);
      return powers.map((power) => power / sum);
    },
    percussion: (instrument, at) =>
      instrument.unpitched
        ? noises(
          keyOf(instrument, at),
          () => {
            const bands = noiseBands(instrument, rounded(at.dynamic), { soundingPitch: at.soundingPitch })!;
            return noiseLoop(bands, sampleRate, seed);
          },
        )
        : undefined,
    beside: ({ lowHz, highHz }) =>
      noises(`${lowHz} ${highHz}`, () => noiseLoop([{ lowHz, highHz, levelDb: 0 }], sampleRate, seed)),
  };
}

/** Noise in bands, each with its level as a whole. */
function noiseLoop(
  bands: readonly (NoiseRange & { readonly levelDb: number })[],
  sampleRate: number,
  seed: number,
): Float32Array {
  const amplitudes = new Float64Array(NOISE_SAMPLES / 2);
  const binHz = sampleRate / NOISE_SAMPLES;
  for (const { lowHz, highHz, levelDb } of bands) {
    const from = Math.max(1, Math.ceil(lowHz / binHz));
    const to = Math.min(amplitudes.length, Math.max(from + 1, Math.ceil(highHz / binHz)));
    const share = 10 ** (levelDb / 10) / Math.max(1, Math.ceil(highHz / binHz) - from);
    for (let k = from; k < to; k++) amplitudes[k] = Math.hypot(amplitudes[k]!, Math.sqrt(share));
  }
  const next = chances(seed, bands.length, bands[0]?.lowHz ?? 0);
  return loopOf(NOISE_SAMPLES, amplitudes, () => next());
}
