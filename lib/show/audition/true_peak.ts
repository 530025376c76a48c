/** The highest that a sound reaches between its samples, too. */

/** Points between two samples that are looked at. */
const OVERSAMPLED = 4;
/** Samples on either side that a point between two hangs on. */
const REACH = 12;
/** Between samples music rises by no more than about 3 dB over them: softer places are not looked at. */
const WORTH_A_LOOK = 0.5;

/** Weights of the samples around a point between two: a sinc under a Hann window. */
const WEIGHTS = Array.from({ length: OVERSAMPLED - 1 }, (_, p) => {
  const at = (p + 1) / OVERSAMPLED;
  const weights = Float64Array.from({ length: 2 * REACH }, (_, i) => {
    const x = i - REACH + 1 - at;
    const window = 0.5 + 0.5 * Math.cos(Math.PI * x / REACH);
    return window * (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x));
  });
  const sum = weights.reduce((a, b) => a + b, 0);
  return weights.map((w) => w / sum);
});

/**
 * True peak of some samples, four times oversampled, as ITU-R BS.1770-4 (2015), Annex 2, asks for.
 *
 * @param samples one channel
 * @returns amplitude, 1 at full scale
 */
export function truePeak(samples: Float32Array): number {
  let peak = 0;
  for (let i = 0; i < samples.length; i++) {
    const a = Math.abs(samples[i]!);
    if (a > peak) peak = a;
  }
  const from = peak * WORTH_A_LOOK;
  for (let i = 0; i + 1 < samples.length; i++) {
    if (Math.abs(samples[i]!) < from && Math.abs(samples[i + 1]!) < from) continue;
    for (const weights of WEIGHTS) {
      let sum = 0;
      for (let k = 0; k < 2 * REACH; k++) sum += weights[k]! * (samples[i - REACH + 1 + k] ?? 0);
      if (Math.abs(sum) > peak) peak = Math.abs(sum);
    }
  }
  return peak;
}
