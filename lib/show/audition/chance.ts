/** Chance that is the same every time: figures from 0 to 1 that hang on nothing but a few whole numbers. */

/** One figure for a few whole numbers, however large; any order or number asked for before makes no difference. */
export function chance(...keys: readonly number[]): number {
  let state = 0x9e3779b9;
  for (const key of keys) {
    state = Math.imul(state ^ Math.trunc(key) ^ Math.trunc(key / 2 ** 32), 0x85ebca6b);
    state ^= state >>> 13;
    state = Math.imul(state, 0xc2b2ae35);
    state ^= state >>> 16;
  }
  return (state >>> 0) / 2 ** 32;
}

/** A row of figures. */
export function chances(...keys: readonly number[]): () => number {
  let state = Math.floor(chance(...keys) * 2 ** 32);
  // Marsaglia, Xorshift RNGs, Journal of Statistical Software 8 (2003), no. 14: shifts 13, 17, 5.
  if (state === 0) state = 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}
