/** Fair shares of a joint result. Subsets are whole numbers: the sum of 2 ** i over the members i. */

/** Options of {@linkcode shapleyValues}. */
export interface ShapleyOptions {
  /** Up to this many members every subset is worked out; beyond, orders are sampled. @default {10} */
  readonly exactUpTo?: number;
  /** Orders sampled beyond that. @default {64} */
  readonly samples?: number;
  /** Seed of the sampling. @default {1} */
  readonly seed?: number;
}

/** Whole numbers are exact up to 2 ** 53. */
const MOST_MEMBERS = 52;

/**
 * Whether a member is in a subset.
 *
 * @param subset sum of 2 ** i over the members i
 * @param member which, from 0
 * @returns true when it is in
 */
export function isMember(subset: number, member: number): boolean {
  return Math.floor(subset / 2 ** member) % 2 === 1;
}

/**
 * Shares of a joint value: each member gets the mean of what it adds over all orders in which the members could
 * join. The shares sum to the value of all together minus that of none; equal members get equal shares; a member
 * that never changes anything gets 0.
 *
 * @param members how many there are, at most 52
 * @param valueOf value of a subset, given as the sum of 2 ** i over its members i
 * @param options how far to be exact
 * @returns one share per member
 * @throws {RangeError} when there are more than 52 members
 *
 * Source: Shapley, A value for n-person games, Contributions to the Theory of Games II (1953) 307-317.
 *
 * @example
 * ```ts
 * import { shapleyValues } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * // Two layers that strike together: one is enough.
 * assertEquals(shapleyValues(2, (subset) => subset === 0 ? 0 : 4), [2, 2]);
 * ```
 */
export function shapleyValues(
  members: number,
  valueOf: (subset: number) => number,
  options: ShapleyOptions = {},
): number[] {
  const { exactUpTo = 10, samples = 64, seed = 1 } = options;
  if (members > MOST_MEMBERS) {
    throw new RangeError(`Cannot share out between ${members} members: ${MOST_MEMBERS} at most`);
  }
  const shares = new Array<number>(members).fill(0);
  if (members <= exactUpTo) {
    const values = Float64Array.from({ length: 2 ** members }, (_, subset) => valueOf(subset));
    // Weight of a subset of size s: s! (n - s - 1)! / n!
    const weights = Float64Array.from(
      { length: members },
      (_, s) => 1 / (members * binomial(members - 1, s)),
    );
    const sizes = new Uint8Array(values.length);
    for (let subset = 1; subset < sizes.length; subset++) sizes[subset] = sizes[subset >> 1]! + subset % 2;
    for (let i = 0; i < members; i++) {
      const own = 2 ** i;
      let share = 0;
      for (let subset = 0; subset < values.length; subset++) {
        if (Math.floor(subset / own) % 2 === 1) continue;
        share += weights[sizes[subset]!]! * (values[subset + own]! - values[subset]!);
      }
      shares[i] = share;
    }
    return shares;
  }
  const known = new Map<number, number>();
  const value = (subset: number): number => {
    let v = known.get(subset);
    if (v === undefined) known.set(subset, v = valueOf(subset));
    return v;
  };
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
      let subset = 0;
      for (const i of walk) {
        shares[i]! += (value(subset + 2 ** i) - value(subset)) / (2 * samples);
        subset += 2 ** i;
      }
    }
  }
  return shares;
}

function binomial(n: number, k: number): number {
  let result = 1;
  for (let i = 1; i <= k; i++) result = result * (n - k + i) / i;
  return result;
}
