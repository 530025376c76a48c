/** Measures of sound, made without the library: levels, bands, onsets. */

import { memo } from "../../lib/base/memo.ts";

/** Energy of some channels, in squares times seconds, between two times. */
export function energyOf(
  { channels, sampleRate }: { readonly channels: readonly Float32Array[]; readonly sampleRate: number },
  fromSeconds = 0,
  toSeconds = Infinity,
): number {
  let sum = 0;
  for (const channel of channels) {
    const to = Math.min(channel.length, Math.round(toSeconds * sampleRate));
    for (let i = Math.max(0, Math.round(fromSeconds * sampleRate)); i < to; i++) sum += channel[i]! ** 2;
  }
  return sum / sampleRate;
}

export const db = (power: number): number => 10 * Math.log10(power);

/** What a transform of a size needs, whatever is transformed. */
interface Transform {
  /** Where each sample goes before the first step. */
  readonly places: Uint32Array;
  readonly window: Float64Array;
  /** Of the turns of a step that joins halves: those from `half` on. */
  readonly cosines: Float64Array;
  readonly sines: Float64Array;
}

const transformOf = memo<Transform, number>(8);

function madeTransform(size: number): Transform {
  const bits = Math.log2(size);
  const places = new Uint32Array(size);
  const [window, cosines, sines] = [new Float64Array(size), new Float64Array(size), new Float64Array(size)];
  for (let i = 0; i < size; i++) {
    for (let b = 0; b < bits; b++) places[i]! |= ((i >> b) & 1) << (bits - 1 - b);
    window[i] = 0.5 - 0.5 * Math.cos(2 * Math.PI * i / size);
  }
  for (let half = 1; half < size; half *= 2) {
    for (let k = 0; k < half; k++) {
      cosines[half + k] = Math.cos(Math.PI * k / half);
      sines[half + k] = -Math.sin(Math.PI * k / half);
    }
  }
  return { places, window, cosines, sines };
}

/** Powers of the spectrum of some samples under a Hann window, by a plain radix-2 transform; its size is a power of two. */
export function spectrumOf(samples: Float32Array, from: number, size: number): Float64Array {
  const { places, window, cosines, sines } = transformOf(size, () => madeTransform(size));
  const re = new Float64Array(size), im = new Float64Array(size);
  for (let i = 0; i < size; i++) re[places[i]!] = (samples[from + i] ?? 0) * window[i]!;
  for (let half = 1; half < size; half *= 2) {
    for (let k = 0; k < half; k++) {
      const c = cosines[half + k]!, s = sines[half + k]!;
      for (let a = k; a < size; a += 2 * half) {
        const b = a + half;
        const x = re[b]! * c - im[b]! * s, y = re[b]! * s + im[b]! * c;
        re[b] = re[a]! - x;
        im[b] = im[a]! - y;
        re[a] = re[a]! + x;
        im[a] = im[a]! + y;
      }
    }
  }
  const powers = new Float64Array(size / 2);
  for (let k = 0; k < powers.length; k++) powers[k] = re[k]! ** 2 + im[k]! ** 2;
  return powers;
}

/** Bands in which the ear hears attacks, in hertz: half octaves. */
const BAND_EDGES = Array.from({ length: 15 }, (_, k) => 60 * 2 ** (k / 2));

/**
 * Spectral flux: how much the powers in half-octave bands grow, in dB, over about as long as notes take to rise; one figure every
 * `hopSeconds`. After Dixon, Onset detection revisited (DAFx 2006), and, for logarithms of bands, Boeck and Widmer (DAFx 2013);
 * both from memory. Frames are long enough for low notes, so that it is late, by the same time in all of a layer.
 */
export function spectralFlux(
  samples: Float32Array,
  { sampleRate, hopSeconds = 0.002, size = 1024 }: {
    readonly sampleRate: number;
    readonly hopSeconds?: number;
    readonly size?: number;
  },
): Float64Array {
  const hop = hopSeconds * sampleRate;
  const edges = BAND_EDGES.map((hz) => Math.round(hz * size / sampleRate));
  let strongest = 0;
  const bands = Array.from({ length: Math.ceil(samples.length / hop) }, (_, f) => {
    const powers = spectrumOf(samples, Math.round(f * hop) - size / 2, size);
    return edges.slice(1).map((to, b) => {
      let sum = 0;
      for (let k = edges[b]!; k < Math.max(to, edges[b]! + 1); k++) sum += powers[k]!;
      strongest = Math.max(strongest, sum);
      return sum;
    });
  });
  const floor = strongest * 1e-4, back = Math.round(0.012 / hopSeconds);
  return Float64Array.from(bands, (now, f) => {
    const before = bands[Math.max(0, f - back)]!;
    return now.reduce((sum, power, b) => sum + Math.max(0, db((power + floor) / (before[b]! + floor))), 0);
  });
}

/** Where the flux is strongest within some time of each of several places: the middle of its peak, in seconds. */
export function strongestNear(
  flux: Float64Array,
  places: readonly number[],
  { hopSeconds = 0.002, within = 0.04 }: { readonly hopSeconds?: number; readonly within?: number } = {},
): readonly number[] {
  return places.map((place) => {
    const from = Math.max(0, Math.round((place - within) / hopSeconds));
    const to = Math.min(flux.length - 1, Math.round((place + within) / hopSeconds));
    let best = from;
    for (let f = from; f <= to; f++) if (flux[f]! > flux[best]!) best = f;
    let weight = 0, sum = 0;
    for (const step of [-1, 1]) {
      for (let f = step < 0 ? best : best + 1; flux[f]! > flux[best]! / 2; f += step) {
        weight += flux[f]!;
        sum += flux[f]! * f;
      }
    }
    return weight > 0 ? sum / weight * hopSeconds : place;
  });
}

export function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b), middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}
