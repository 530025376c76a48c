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
 * @param options names of the clues, number of kinds, the penalty, and a model of nearly the same samples to begin at; two
 *   kinds give one row of weights, for the second
 * @returns the model
 */
export function fitKinds(
  samples: readonly Sample[],
  { clues, kinds, penalty, start }: {
    readonly clues: readonly string[];
    readonly kinds: number;
    readonly penalty: number;
    readonly start?: LinearModel | undefined;
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
  const begin = start === undefined
    ? new Float64Array(rowsOfWeights * width)
    : Float64Array.from(start.weights.flatMap((own, k) => [...own, start.offsets[k]!]));
  const best = minimise(objective, begin);
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

/** Candidates of a bar, of which one is right. */
export interface Choice {
  /** Clues of each candidate. */
  readonly rows: readonly ArrayLike<number>[];
  /** Which line each is, from the least; candidates of one line in bars that follow each other go on. */
  readonly lines: readonly number[];
  /** Index of the right one. */
  readonly right: number;
}

/** Bars that follow each other, with what is right in each. */
export interface Course {
  readonly choices: readonly Choice[];
  /** How much each of them counts. */
  readonly weight: number;
}

/** A course with its candidates in one table. */
interface LaidOut {
  readonly x: Float32Array;
  /** First row of each bar, and after the last. */
  readonly from: readonly number[];
  /** Row of the right candidate of each bar. */
  readonly right: readonly number[];
  /** For each row, the row of the same line in the bar before, or -1. */
  readonly before: Int32Array;
  readonly weight: number;
}

function laidOut(
  { choices, weight }: Course,
  means: readonly number[],
  spreads: readonly number[],
): LaidOut {
  const n = means.length;
  const from = [0];
  for (const { rows } of choices) from.push(from.at(-1)! + rows.length);
  const x = new Float32Array(from.at(-1)! * n);
  const before = new Int32Array(from.at(-1)!).fill(-1);
  choices.forEach(({ rows, lines }, b) => {
    const earlier = choices[b - 1]?.lines ?? [];
    rows.forEach((row, k) => {
      const r = from[b]! + k;
      for (let s = 0; s < n; s++) x[r * n + s] = (row[s]! - means[s]!) / spreads[s]!;
      const found = earlier.indexOf(lines[k]!);
      if (found >= 0) before[r] = from[b - 1]! + found;
    });
  });
  return { x, from, right: choices.map((c, b) => from[b]! + c.right), before, weight };
}

/**
 * Adds a course to the gradient.
 *
 * @returns what it loses: less the logarithm of how likely the right course is among all courses
 */
function addCourse(at: Float64Array, gradient: Float64Array, course: LaidOut, handOverCost: number): number {
  const { x, from, right, before, weight } = course;
  const n = at.length;
  const moves = Math.exp(-handOverCost);
  const rows = before.length;
  const values = new Float64Array(rows);
  for (let r = 0; r < rows; r++) {
    let v = 0;
    for (let s = 0; s < n; s++) v += at[s]! * x[r * n + s]!;
    values[r] = v;
  }
  const [asked, forward, backward] = [0, 1, 2].map(() => new Float64Array(rows)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const scales: number[] = [];
  let likely = 0;
  right.forEach((chosen, b) => {
    const [first, end] = [from[b]!, from[b + 1]!];
    const greatest = values.subarray(first, end).reduce((a, v) => Math.max(a, v), -Infinity);
    let sum = 0;
    for (let r = first; r < end; r++) {
      asked[r] = Math.exp(values[r]! - greatest);
      const goesOn = before[r]! < 0 ? 0 : forward[before[r]!]!;
      sum += forward[r] = asked[r]! * (b === 0 ? 1 : moves + (1 - moves) * goesOn);
    }
    for (let r = first; r < end; r++) forward[r]! /= sum;
    scales.push(sum);
    likely += values[chosen]! - greatest - Math.log(sum);
    if (b > 0 && before[chosen] !== right[b - 1]) likely -= handOverCost;
  });
  backward.fill(1, from[right.length - 1]!);
  for (let b = right.length - 2; b >= 0; b--) {
    let sum = 0;
    for (let r = from[b + 1]!; r < from[b + 2]!; r++) sum += asked[r]! * backward[r]!;
    backward.fill(moves * sum, from[b]!, from[b + 1]!);
    for (let r = from[b + 1]!; r < from[b + 2]!; r++) {
      if (before[r]! >= 0) backward[before[r]!]! += (1 - moves) * asked[r]! * backward[r]!;
    }
    for (let r = from[b]!; r < from[b + 1]!; r++) backward[r]! /= scales[b + 1]!;
  }
  const isRight = new Set(right);
  for (let r = 0; r < rows; r++) {
    const error = weight * (forward[r]! * backward[r]! - (isRight.has(r) ? 1 : 0));
    if (Math.abs(error) < 1e-9) continue;
    for (let s = 0; s < n; s++) gradient[s]! += error * x[r * n + s]!;
  }
  return -weight * likely;
}

/**
 * A model that picks one of several in every bar: conditional logistic regression (McFadden 1974), and where a hand-over
 * from one line to another costs something, a conditional random field along the bars (Lafferty, McCallum and Pereira
 * 2001); with a quadratic penalty on the weights.
 *
 * @param courses candidates and right answers
 * @param options names of the clues, the penalty, what a hand-over costs, and a model of nearly the same courses to begin at
 * @returns the model, with one row of weights
 */
export function fitCourses(
  courses: readonly Course[],
  { clues, penalty, handOverCost = 0, start }: {
    readonly clues: readonly string[];
    readonly penalty: number;
    readonly handOverCost?: number;
    readonly start?: LinearModel | undefined;
  },
): LinearModel {
  const { means, spreads } = spreadOf(courses.flatMap((c) => c.choices.flatMap(({ rows }) => rows)));
  const laid = courses.map((c) => laidOut(c, means, spreads));
  const objective: Objective = (at, gradient) => {
    gradient.fill(0);
    let loss = 0;
    for (const course of laid) loss += addCourse(at, gradient, course, handOverCost);
    at.forEach((w, s) => {
      loss += penalty / 2 * w * w;
      gradient[s]! += penalty * w;
    });
    return loss;
  };
  const begin = start === undefined ? new Float64Array(means.length) : Float64Array.from(start.weights[0]!);
  return modelOf(minimise(objective, begin), 1, { clues, means, spreads });
}
