/** One period of a sound, or a loop of noise, from what it is made of. */

/**
 * Adds up cosines: `re[k]` and `im[k]` are the real and imaginary part of the k-th, of which there are half as many as
 * samples. Radix-2 fast Fourier transform after Cooley and Tukey (Mathematics of Computation 19, 1965), in place.
 */
export function addedUp(re: Float64Array, im: Float64Array): void {
  const n = re.length;
  for (let i = 1, j = 0; i < n; i++) {
    let bit = n >> 1;
    for (; (j & bit) !== 0; bit >>= 1) j ^= bit;
    j ^= bit;
    if (i >= j) continue;
    [re[i], re[j]] = [re[j]!, re[i]!];
    [im[i], im[j]] = [im[j]!, im[i]!];
  }
  for (let size = 2; size <= n; size *= 2) {
    const half = size / 2, step = 2 * Math.PI / size;
    for (let k = 0; k < half; k++) {
      const c = Math.cos(step * k), s = Math.sin(step * k);
      for (let a = k; a < n; a += size) {
        const b = a + half;
        const x = re[b]! * c - im[b]! * s, y = re[b]! * s + im[b]! * c;
        re[b] = re[a]! - x;
        im[b] = im[a]! - y;
        re[a]! += x;
        im[a]! += y;
      }
    }
  }
}

/**
 * A loop with the amplitudes given, at the phases given, its mean square 1. One more sample than its length closes the
 * loop, so that what reads between samples needs no turn.
 */
export function loopOf(
  length: number,
  amplitudes: ArrayLike<number>,
  phaseOf: (index: number) => number,
): Float32Array {
  const re = new Float64Array(length), im = new Float64Array(length);
  for (let k = 0; k < amplitudes.length && k < length / 2; k++) {
    const phase = 2 * Math.PI * phaseOf(k);
    re[k] = amplitudes[k]! * Math.cos(phase);
    im[k] = amplitudes[k]! * Math.sin(phase);
  }
  addedUp(re, im);
  let square = 0;
  for (let i = 0; i < length; i++) square += re[i]! ** 2;
  const scale = square > 0 ? Math.sqrt(length / square) : 0;
  const loop = new Float32Array(length + 1);
  for (let i = 0; i < length; i++) loop[i] = re[i]! * scale;
  loop[length] = loop[0]!;
  return loop;
}
