/**
 * A small seeded generator (mulberry32 by Tommy Ettinger, public domain), so that a failing case can be made again.
 *
 * @param seed whole number
 * @returns a function that gives numbers from 0 up to, but not including, 1
 */
export function random(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}
