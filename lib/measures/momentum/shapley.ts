/** Fair shares of a joint result. Subsets are whole numbers: the sum of 2 ** i over the members i. */
import { InputError } from "../../base/errors.ts";
import { memo } from "../../base/memo.ts";

/** How far to be exact. */
interface ShapleyOptions {
  /** Up to this many members every subset is worked out; beyond, orders are sampled. */
  readonly exactUpTo?: number;
  /** Pairs of orders sampled beyond that. */
  readonly samples?: number;
  readonly seed?: number;
}

/** Shares of a joint result, and how sure they are. */
interface ShapleyShares {
  readonly shares: readonly number[];
  /** Standard error of each share: 0 where every subset was worked out. */
  readonly standardErrors: readonly number[];
}

/** Up to this many members every subset is worked out. */
export const EXACT_UP_TO = 12;
/** Whole numbers are exact up to 2 ** 53. */
export const MOST_MEMBERS = 52;

/**
 * Shares of a joint value: each member gets the mean of what it adds over all orders in which the members could join.
 * The shares sum to the value of all together minus that of none; equal members get equal shares; a member that never
 * changes anything gets 0. Up to 12 members they are exact; beyond, they are means over sampled orders, each walked
 * forwards and backwards, and the standard error is that of the mean over these pairs of walks.
 *
 * Source: Shapley, A value for n-person games, Contributions to the Theory of Games II (1953) 307-317.
 */
export function shapleyShares(
  members: number,
  valueOf: (subset: number) => number,
  options: ShapleyOptions = {},
): ShapleyShares {
  const { exactUpTo = EXACT_UP_TO, samples = 64, seed = 1 } = options;
  if (members > MOST_MEMBERS) {
    throw new InputError({
      action: "share out a value",
      problem: `there are ${members} members`,
      remedy: `Give at most ${MOST_MEMBERS}`,
    });
  }
  if (members > exactUpTo) return sampled(members, valueOf, { samples, seed });
  const values = new Float64Array(2 ** members);
  for (let subset = 0; subset < values.length; subset++) values[subset] = valueOf(subset);
  return exactShares(values);
}

/** Weights of all subsets that a member may join; kept, since most bars have the same few members. */
const knownWeights = memo<Float64Array, number>(2 * EXACT_UP_TO);

/** Weight of each subset of `n` members, by its size `s`: s! (n - s - 1)! / n! */
function weightsOf(members: number): Float64Array {
  return knownWeights(members, () => {
    const ofSize = Array.from({ length: members }, (_, s) => 1 / (members * binomial(members - 1, s)));
    const sizes = new Uint8Array(2 ** members);
    for (let subset = 1; subset < sizes.length; subset++) sizes[subset] = sizes[subset >> 1]! + subset % 2;
    // No member joins the set of all, so that it has no weight.
    return Float64Array.from(sizes, (size) => ofSize[size]!);
  });
}

/** Shares of a joint value whose every subset is known. */
export function exactShares(values: Float64Array): ShapleyShares {
  const members = Math.round(Math.log2(values.length));
  const weights = weightsOf(members);
  const shares = new Array<number>(members).fill(0);
  for (let i = 0; i < members; i++) {
    const own = 2 ** i;
    let share = 0;
    for (let subset = 0; subset < values.length; subset++) {
      if ((subset & own) !== 0) continue;
      share += weights[subset]! * (values[subset + own]! - values[subset]!);
    }
    shares[i] = share;
  }
  return { shares, standardErrors: shares.map(() => 0) };
}

function sampled(
  members: number,
  valueOf: (subset: number) => number,
  { samples, seed }: { readonly samples: number; readonly seed: number },
): ShapleyShares {
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
  const sums = new Array<number>(members).fill(0);
  const squares = new Array<number>(members).fill(0);
  // Every sampled order is also walked backwards, which lowers the spread at no cost in fairness.
  for (let k = 0; k < samples; k++) {
    const order = Array.from({ length: members }, (_, i) => i);
    for (let i = members - 1; i > 0; i--) {
      const j = Math.floor(random() * (i + 1));
      [order[i], order[j]] = [order[j]!, order[i]!];
    }
    const pair = new Float64Array(members);
    for (const walk of [order, order.toReversed()]) {
      let subset = 0;
      for (const i of walk) {
        pair[i]! += (value(subset + 2 ** i) - value(subset)) / 2;
        subset += 2 ** i;
      }
    }
    pair.forEach((added, i) => {
      sums[i]! += added;
      squares[i]! += added ** 2;
    });
  }
  const shares = sums.map((sum) => sum / samples);
  const standardErrors = shares.map((share, i) =>
    samples < 2 ? Math.abs(share) : Math.sqrt(Math.max(0, squares[i]! / samples - share ** 2) / (samples - 1))
  );
  return { shares, standardErrors };
}

function binomial(n: number, k: number): number {
  let result = 1;
  for (let i = 1; i <= k; i++) result = result * (n - k + i) / i;
  return result;
}
