/** Fair shares of a joint result. */

/** Options of {@linkcode shapleyValues}. */
export interface ShapleyOptions {
  /** Up to this many members every subset is worked out; beyond, orders are sampled. @default {10} */
  readonly exactUpTo?: number;
  /** Orders sampled beyond that. @default {64} */
  readonly samples?: number;
  /** Seed of the sampling. @default {1} */
  readonly seed?: number;
}

/**
 * Shares of a joint value: each member gets the mean of what it adds over all orders in which the members could
 * join. The shares sum to the value of all together minus that of none; equal members get equal shares; a member
 * that never changes anything gets 0.
 *
 * @param members how many there are, at most 30
 * @param valueOf value of a subset, given as a bit mask (bit i set when member i is in)
 * @param options how far to be exact
 * @returns one share per member
 * @throws {RangeError} when there are more than 30 members
 *
 * Source: Shapley, A value for n-person games, Contributions to the Theory of Games II (1953) 307-317.
 *
 * @example
 * ```ts
 * import { shapleyValues } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * // Two layers that strike together: one is enough.
 * assertEquals(shapleyValues(2, (mask) => mask === 0 ? 0 : 4), [2, 2]);
 * ```
 */
export function shapleyValues(
  members: number,
  valueOf: (mask: number) => number,
  options: ShapleyOptions = {},
): number[] {
  const { exactUpTo = 10, samples = 64, seed = 1 } = options;
  if (members > 30) throw new RangeError(`Cannot share out between ${members} members: 30 at most`);
  const known = new Map<number, number>();
  const value = (mask: number): number => {
    let v = known.get(mask);
    if (v === undefined) known.set(mask, v = valueOf(mask));
    return v;
  };
  const shares = new Array<number>(members).fill(0);
  if (members <= exactUpTo) {
    // Weight of a subset of size s: s! (n - s - 1)! / n!
    const weights: number[] = [];
    for (let s = 0; s < members; s++) weights.push(1 / (members * binomial(members - 1, s)));
    for (let mask = 0; mask < 1 << members; mask++) {
      const size = bits(mask);
      for (let i = 0; i < members; i++) {
        if (mask & 1 << i) continue;
        shares[i]! += weights[size]! * (value(mask | 1 << i) - value(mask));
      }
    }
    return shares;
  }
  let state = seed >>> 0;
  const random = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
  // Every sampled order is also walked backwards, which halves the spread at no cost in fairness.
  for (let k = 0; k < samples; k++) {
    const order = Array.from({ length: members }, (_, i) => i);
    for (let i = members - 1; i > 0; i--) {
      const j = Math.floor(random() * (i + 1));
      [order[i], order[j]] = [order[j]!, order[i]!];
    }
    for (const walk of [order, order.toReversed()]) {
      let mask = 0;
      for (const i of walk) {
        shares[i]! += (value(mask | 1 << i) - value(mask)) / (2 * samples);
        mask |= 1 << i;
      }
    }
  }
  return shares;
}

function bits(mask: number): number {
  let count = 0;
  for (let m = mask; m !== 0; m &= m - 1) count++;
  return count;
}

function binomial(n: number, k: number): number {
  let result = 1;
  for (let i = 1; i <= k; i++) result = result * (n - k + i) / i;
  return result;
}
