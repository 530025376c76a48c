/** The small models recognition weighs clues by: linear, fitted by a script, kept as numbers in a data file. */

import { memoOf } from "../../base/memo.ts";
import type { FigureShape } from "../figure_shapes.ts";

/** Weights of named clues for a yes-or-no question, or for a ranking. */
export interface LinearModel {
  /** Names of the clues. */
  readonly clues: readonly string[];
  /** Mean of each clue where it was fitted. */
  readonly means: readonly number[];
  /** Spread (standard deviation) of each clue where it was fitted. */
  readonly spreads: readonly number[];
  /** What every kind starts from, before any clue. */
  readonly offsets: readonly number[];
  /** For each kind, the weight of each clue per spread. */
  readonly weights: readonly (readonly number[])[];
}

/** Everything recognition weighs by. */
export interface TextureWeights {
  /** How the weights were fitted, and to what; for readers. */
  readonly about: string;
  /** The shapes of {@linkcode TextureWeights.kind}, in order; two kinds of alternation are weighed by themselves. */
  readonly kinds: readonly FigureShape[];
  /** Which kind of part a cell is by its clues. */
  readonly kind: LinearModel;
  /** How much a part asks to be followed, beside the others of its bar. */
  readonly lead: LinearModel;
  /** How much it asks to be followed over its phrase, from who is followed bar by bar. */
  readonly phrase: LinearModel;
  /** What a part does broadly (melody, moving, held, isolated, line), from the first two answers and their surroundings. */
  readonly broad: LinearModel;
}

/** A model with means and spreads worked into its weights. */
interface Folded {
  readonly offsets: Float64Array;
  readonly weights: readonly Float64Array[];
}

/** The model with means and spreads worked into its weights. */
const foldedOf = memoOf((model: LinearModel): Folded => {
  const { means, spreads } = model;
  const weights = model.weights.map((own) => Float64Array.from(own, (w, s) => w / spreads[s]!));
  const offsets = Float64Array.from(
    model.offsets,
    (offset, k) => weights[k]!.reduce((value, w, s) => value - w * means[s]!, offset),
  );
  return { offsets, weights };
});

/**
 * Value of every kind of a model.
 *
 * @param model the model
 * @param row clues in the model's order
 * @returns one value per kind: its offset and the weighted clues
 */
export function valuesOf(model: LinearModel, row: ArrayLike<number>): number[] {
  const { offsets, weights } = foldedOf(model);
  const values = new Array<number>(weights.length);
  for (let k = 0; k < weights.length; k++) {
    const own = weights[k]!;
    let value = offsets[k]!;
    for (let s = 0; s < own.length; s++) value += own[s]! * row[s]!;
    values[k] = value;
  }
  return values;
}

/**
 * Natural logarithms of shares that add up to one.
 *
 * @param values one value per kind
 * @returns logarithm of each kind's share, the exponentials of the values over their sum
 */
export function logShares(values: readonly number[]): number[] {
  const greatest = Math.max(...values);
  let sum = 0;
  for (let k = 0; k < values.length; k++) sum += Math.exp(values[k]! - greatest);
  const total = Math.log(sum) + greatest;
  return values.map((v) => v - total);
}
