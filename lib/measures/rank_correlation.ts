/** How alike two orders are. */
// @ts-types="@types/d3-array"
import { descending, rank } from "d3-array";
import { sampleCorrelation } from "simple-statistics";

/** Ranks from 1 for the smallest; equal values share the mean of their ranks. */
export function ranksOf(values: readonly number[]): readonly number[] {
  // Both give equal values the lowest of their ranks, one from below, the other from above.
  const [up, down] = [rank(values), rank(values, descending)];
  return values.map((_, i) => (up[i]! + values.length - 1 - down[i]!) / 2 + 1);
}

/**
 * Spearman's rank correlation: the correlation of the ranks, so that equal values are treated fairly. Null where one
 * of them does not vary.
 *
 * Source: Spearman, The proof and measurement of association between two things, American Journal of Psychology 15
 * (1904) 72-101.
 */
export function spearman(a: readonly number[], b: readonly number[]): number | null {
  if (isConstant(a) || isConstant(b)) return null;
  return sampleCorrelation([...ranksOf(a)], [...ranksOf(b)]);
}

/**
 * Kendall's rank correlation, tau-b: pairs in the same order less pairs in the opposite order, over all pairs, pairs
 * that are equal in one list left out of its count. Null where one of them does not vary.
 *
 * Source: Kendall, The treatment of ties in ranking problems, Biometrika 33 (1945) 239-251.
 */
export function kendall(a: readonly number[], b: readonly number[]): number | null {
  if (isConstant(a) || isConstant(b)) return null;
  let agree = 0;
  let variedA = 0;
  let variedB = 0;
  for (let i = 0; i < a.length; i++) {
    for (let j = 0; j < i; j++) {
      const [x, y] = [Math.sign(a[i]! - a[j]!), Math.sign(b[i]! - b[j]!)];
      agree += x * y;
      variedA += x * x;
      variedB += y * y;
    }
  }
  return agree / Math.sqrt(variedA * variedB);
}

function isConstant(values: readonly number[]): boolean {
  return values.every((v) => v === values[0]);
}
