/** A plain hall: what comes straight from the stage, and a tail that keeps the energy. */

import { addedUp } from "./wave_of.ts";

/** A hall that sound is sent through, piece after piece. */
interface HallOfSound {
  /**
   * Adds the tail of what is sent in to it.
   *
   * @param left what is sent in from the left, changed into what is heard
   * @param right the same from the right
   * @param length samples
   */
  readonly through: (left: Float32Array, right: Float32Array, length: number) => void;
}

/**
 * Lengths of the delay lines in seconds, without common factors, after the advice of Jot and Chaigne (Digital delay networks
 * for designing artificial reverberators, AES 90th Convention, 1991, from memory).
 */
const LINES = [
  0.0371,
  0.0411,
  0.0453,
  0.0497,
  0.0547,
  0.0593,
  0.0641,
  0.0697,
  0.0751,
  0.0809,
  0.0871,
  0.0937,
];
/** The tail begins this much later than the direct sound. */
const GAP_SECONDS = 0.012;
/** Above this frequency air and walls take more; model assumption. */
const DARKER_ABOVE_HZ = 5000;

/**
 * A tail that has, over all pitches, as much energy as is sent in: lines that feed each other (Householder matrix) and fall
 * alike.
 */
export function tailOf(sampleRate: number, reverberationSeconds: number, gain: number): HallOfSound {
  const own = networkOf(sampleRate, reverberationSeconds);
  return { through: (l, r, n) => own(l, r, n, gain) };
}

/** What a hall does to each pitch: it makes some stronger and some weaker, as halls do. */
export interface HallResponse {
  /** Gain that gives the tail the energy that is sent in, over all pitches that matter. */
  readonly gain: number;
  /**
   * Energy that is heard of a tone, where a share of it comes straight from the stage and the rest through the tail; 1 where
   * it is as much as was sent. A tone is as wide as its vibrato and its length make it.
   */
  readonly heardAt: (hz: number, directShare: number, wideHz: number) => number;
}

/** Pitches between which the tail has as much energy as is sent in. */
const FROM_HZ = 100, TO_HZ = 2000;

/** Finds out what a hall does to each pitch, by one click in the middle of the stage. */
export function hallResponse(sampleRate: number, reverberationSeconds: number): HallResponse {
  const size = 2 ** Math.ceil(Math.log2((reverberationSeconds + GAP_SECONDS) * sampleRate));
  const left = new Float32Array(size), right = new Float32Array(size);
  left[0] = right[0] = Math.SQRT1_2;
  networkOf(sampleRate, reverberationSeconds)(left, right, size, 1);
  const tail = new Float64Array(size / 2 + 1), together = new Float64Array(size / 2 + 1);
  for (const ear of [left, right]) {
    const re = Float64Array.from(ear), im = new Float64Array(size);
    addedUp(re, im);
    for (let k = 0; k < size / 2; k++) {
      tail[k + 1]! += re[k]! ** 2 + im[k]! ** 2;
      together[k + 1]! += 2 * Math.SQRT1_2 * re[k]!;
    }
  }
  for (let k = 1; k < tail.length; k++) {
    tail[k]! += tail[k - 1]!;
    together[k]! += together[k - 1]!;
  }
  const binOf = (hz: number) => Math.min(size / 2 - 1, Math.max(0, Math.round(hz * size / sampleRate)));
  const mean = (sums: Float64Array, from: number, to: number) =>
    (sums[binOf(to) + 1]! - sums[binOf(from)]!) / (binOf(to) + 1 - binOf(from));
  const gain = 1 / Math.sqrt(mean(tail, FROM_HZ, TO_HZ));
  return {
    gain,
    heardAt: (hz, direct, wide) => {
      const from = hz - wide, to = hz + wide;
      return direct + (1 - direct) * gain ** 2 * mean(tail, from, to) +
        Math.sqrt(direct * (1 - direct)) * gain * mean(together, from, to);
    },
  };
}

type Network = (left: Float32Array, right: Float32Array, length: number, gain: number) => void;

function networkOf(sampleRate: number, reverberationSeconds: number): Network {
  const n = LINES.length;
  const lengths = LINES.map((seconds) => Math.round(seconds * sampleRate));
  const lines = lengths.map((length) => new Float64Array(length));
  const places = new Int32Array(n);
  const falls = lengths.map((length) => 10 ** (-3 * length / sampleRate / reverberationSeconds));
  const dark = Math.exp(-2 * Math.PI * DARKER_ABOVE_HZ / sampleRate);
  const filtered = new Float64Array(n), out = new Float64Array(n);
  const gap = Math.round(GAP_SECONDS * sampleRate);
  const waiting = [new Float64Array(gap), new Float64Array(gap)];
  let at = 0;
  return (left, right, length, gain) => {
    for (let i = 0; i < length; i++) {
      const inLeft = waiting[0]![at]!, inRight = waiting[1]![at]!;
      waiting[0]![at] = left[i]!;
      waiting[1]![at] = right[i]!;
      if (++at === gap) at = 0;
      let sum = 0, l = 0, r = 0;
      for (let k = 0; k < n; k++) {
        const read = lines[k]![places[k]!]!;
        const value = filtered[k] = read + dark * (filtered[k]! - read);
        out[k] = value * falls[k]!;
        sum += out[k]!;
        if (k % 2 === 0) l += k % 4 === 0 ? value : -value;
        else r += k % 4 === 1 ? value : -value;
      }
      sum *= 2 / n;
      for (let k = 0; k < n; k++) {
        lines[k]![places[k]!] = out[k]! - sum + (k % 2 === 0 ? inLeft : inRight);
        if (++places[k]! === lengths[k]) places[k] = 0;
      }
      left[i] = l * gain;
      right[i] = r * gain;
    }
  };
}
