/** Fitting the small linear models of recognition: penalised likelihood, minimised by limited-memory BFGS. */
import type { LinearModel } from "../../lib/texture/judge/weights.ts";

/** Value at a point; writes the gradient there. */
export type Objective = (at: Float64Array, gradient: Float64Array) => number;

const dot = (a: Float64Array, b: Float64Array) => {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
};

/**
 * Point of least value of a smooth convex function (Nocedal and Wright, Numerical Optimization, 2nd ed., algorithm
 * 7.4 with a halving line search).
 *
 * @param objective value and gradient
 * @param start where to begin
 * @returns the point
 */
export function minimise(
  objective: Objective,
  start: Float64Array,
  { iterations = 200, memory = 10 } = {},
): Float64Array {
  const n = start.length;
  let x = Float64Array.from(start);
  let gradient = new Float64Array(n);
  let value = objective(x, gradient);
  const pairs: { s: Float64Array; y: Float64Array; rho: number }[] = [];
  for (let round = 0; round < iterations; round++) {
    const direction = Float64Array.from(gradient, (g) => -g);
    const alphas: number[] = [];
    for (const { s, y, rho } of pairs.toReversed()) {
      const alpha = rho * dot(s, direction);
      alphas.push(alpha);
      for (let i = 0; i < n; i++) direction[i]! -= alpha * y[i]!;
    }
    const last = pairs.at(-1);
    const scale = last ? 1 / (last.rho * dot(last.y, last.y)) : 1 / Math.sqrt(dot(gradient, gradient) || 1);
    for (let i = 0; i < n; i++) direction[i]! *= scale;
    pairs.forEach(({ s, y, rho }, k) => {
      const beta = alphas[alphas.length - 1 - k]! - rho * dot(y, direction);
      for (let i = 0; i < n; i++) direction[i]! += beta * s[i]!;
    });
    const slope = dot(gradient, direction);
    if (slope > -1e-10) break;
    let step = 1;
    const next = new Float64Array(n);
    const nextGradient = new Float64Array(n);
    let nextValue = Infinity;
    for (let halvings = 0; halvings < 30; halvings++, step /= 2) {
      for (let i = 0; i < n; i++) next[i] = x[i]! + step * direction[i]!;
      nextValue = objective(next, nextGradient);
      if (nextValue <= value + 1e-4 * step * slope) break;
    }
    if (!(nextValue < value)) break;
    const s = Float64Array.from(next, (v, i) => v - x[i]!);
    const y = Float64Array.from(nextGradient, (v, i) => v - gradient[i]!);
    const curvature = dot(s, y);
    if (curvature > 1e-12) pairs.push({ s, y, rho: 1 / curvature });
    if (pairs.length > memory) pairs.shift();
    const gain = value - nextValue;
    [x, gradient, value] = [next, nextGradient, nextValue];
    if (gain < 1e-7 * Math.abs(value)) break;
  }
  return x;
}

/** What a model is fitted to. */
export interface Sample {
  /** Clues. */
  readonly row: ArrayLike<number>;
  /** Index of the right kind. */
  readonly kind: number;
  /** How much it counts. */
  readonly weight: number;
}

/** Means and spreads of the clues. */
function spreadOf(
  rows: readonly ArrayLike<number>[],
): { readonly means: number[]; readonly spreads: number[] } {
  const n = rows[0]!.length;
  const means = new Array<number>(n).fill(0);
  const squares = new Array<number>(n).fill(0);
  for (const row of rows) for (let s = 0; s < n; s++) means[s]! += row[s]! / rows.length;
  for (const row of rows) for (let s = 0; s < n; s++) squares[s]! += (row[s]! - means[s]!) ** 2 / rows.length;
  return { means: means.map(short), spreads: squares.map((v) => short(Math.max(0.02, Math.sqrt(v)))) };
}

/** Four figures are enough. */
const short = (x: number) => Math.abs(x) < 5e-5 ? 0 : Number(x.toPrecision(4));

function standardised(
  rows: readonly ArrayLike<number>[],
  means: readonly number[],
  spreads: readonly number[],
): Float64Array {
  const n = means.length;
  const all = new Float64Array(rows.length * n);
  rows.forEach((row, r) => {
    for (let s = 0; s < n; s++) all[r * n + s] = (row[s]! - means[s]!) / spreads[s]!;
  });
  return all;
}

/**
 * A model that tells kinds apart (multinomial logistic regression with a quadratic penalty on the weights).
 *
 * @param samples clues and right answers
 * @param options names of the clues, number of kinds, and the penalty; two kinds give one row of weights, for the second
 * @returns the model
 */
export function fitKinds(
  samples: readonly Sample[],
  { clues, kinds, penalty }: {
    readonly clues: readonly string[];
    readonly kinds: number;
    readonly penalty: number;
  },
): LinearModel {
  const { means, spreads } = spreadOf(samples.map((s) => s.row));
  const n = means.length;
  const x = standardised(samples.map((s) => s.row), means, spreads);
  const rowsOfWeights = kinds === 2 ? 1 : kinds;
  const width = n + 1;
  const values = new Float64Array(rowsOfWeights);
  const objective: Objective = (at, gradient) => {
    gradient.fill(0);
    let loss = 0;
    samples.forEach(({ kind, weight }, r) => {
      const base = r * n;
      for (let k = 0; k < rowsOfWeights; k++) {
        let v = at[k * width + n]!;
        const w = k * width;
        for (let s = 0; s < n; s++) v += at[w + s]! * x[base + s]!;
        values[k] = v;
      }
      let [greatest, total] = [
        kinds === 2 ? Math.max(0, values[0]!) : values.reduce((a, b) => Math.max(a, b)),
        0,
      ];
      if (kinds === 2) total = Math.exp(-greatest);
      for (let k = 0; k < rowsOfWeights; k++) total += Math.exp(values[k]! - greatest);
      const logTotal = Math.log(total) + greatest;
      const right = kinds === 2 ? (kind === 1 ? values[0]! : 0) : values[kind]!;
      loss += weight * (logTotal - right);
      for (let k = 0; k < rowsOfWeights; k++) {
        const isRight = kinds === 2 ? kind === 1 : kind === k;
        const error = weight * (Math.exp(values[k]! - logTotal) - (isRight ? 1 : 0));
        if (Math.abs(error) < 1e-9) continue;
        const w = k * width;
        for (let s = 0; s < n; s++) gradient[w + s]! += error * x[base + s]!;
        gradient[w + n]! += error;
      }
    });
    for (let k = 0; k < rowsOfWeights; k++) {
      for (let s = 0; s < n; s++) {
        const w = at[k * width + s]!;
        loss += penalty / 2 * w * w;
        gradient[k * width + s]! += penalty * w;
      }
    }
    return loss;
  };
  const best = minimise(objective, new Float64Array(rowsOfWeights * width));
  return modelOf(best, rowsOfWeights, { clues, means, spreads });
}

function modelOf(
  best: Float64Array,
  kinds: number,
  rest: {
    readonly clues: readonly string[];
    readonly means: readonly number[];
    readonly spreads: readonly number[];
  },
): LinearModel {
  const n = rest.means.length;
  const width = best.length / kinds;
  return {
    ...rest,
    offsets: Array.from({ length: kinds }, (_, k) => width > n ? short(best[k * width + n]!) : 0),
    weights: Array.from({ length: kinds }, (_, k) => [...best.subarray(k * width, k * width + n)].map(short)),
  };
}

/** Candidates of which one is right. */
export interface Choice {
  /** Clues of each candidate. */
  readonly rows: readonly ArrayLike<number>[];
  /** Index of the right one. */
  readonly right: number;
  /** How much it counts. */
  readonly weight: number;
}

/**
 * A model that picks one of several (conditional logistic regression, McFadden 1974, with a quadratic penalty).
 *
 * @param choices candidates and right answers
 * @param options names of the clues, and the penalty
 * @returns the model, with one row of weights
 */
export function fitChoices(
  choices: readonly Choice[],
  { clues, penalty }: { readonly clues: readonly string[]; readonly penalty: number },
): LinearModel {
  const { means, spreads } = spreadOf(choices.flatMap((c) => c.rows));
  const n = means.length;
  const x = choices.map((c) => standardised(c.rows, means, spreads));
  const objective: Objective = (at, gradient) => {
    gradient.fill(0);
    let loss = 0;
    choices.forEach(({ rows, right, weight }, c) => {
      const own = x[c]!;
      const values = rows.map((_, r) => {
        let v = 0;
        for (let s = 0; s < n; s++) v += at[s]! * own[r * n + s]!;
        return v;
      });
      const greatest = Math.max(...values);
      const logTotal = Math.log(values.reduce((sum, v) => sum + Math.exp(v - greatest), 0)) + greatest;
      loss += weight * (logTotal - values[right]!);
      values.forEach((v, r) => {
        const error = weight * (Math.exp(v - logTotal) - (r === right ? 1 : 0));
        for (let s = 0; s < n; s++) gradient[s]! += error * own[r * n + s]!;
      });
    });
    for (let s = 0; s < n; s++) {
      loss += penalty / 2 * at[s]! * at[s]!;
      gradient[s]! += penalty * at[s]!;
    }
    return loss;
  };
  return modelOf(minimise(objective, new Float64Array(n)), 1, { clues, means, spreads });
}
