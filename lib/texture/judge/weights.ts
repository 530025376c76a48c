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
  readonly offsets: readonly number[];
  /** Weights of the kinds for the first clue, then for the next. */
  readonly weights: Float64Array;
}

/** The model with means and spreads worked into its weights. */
const foldedOf = memoOf(({ means, spreads, offsets, weights: byKind }: LinearModel): Folded => {
  const weights = new Float64Array(means.length * byKind.length);
  const kinds = offsets.map((offset, k) =>
    means.reduce((value, mean, s) => {
      const weight = weights[s * byKind.length + k] = byKind[k]![s]! / spreads[s]!;
      return value - weight * mean;
    }, offset)
  );
  return { offsets: kinds, weights };
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
  const values = offsets.slice();
  const kinds = values.length;
  for (let s = 0, at = 0; at < weights.length; s++, at += kinds) {
    const clue = row[s]!;
    if (clue === 0) continue; // as every second clue is
    for (let k = 0; k < kinds; k++) values[k]! += weights[at + k]! * clue;
  }
  return values;
}

/** Place of the greatest of some values, of the first where several are. */
export function likeliest(values: ArrayLike<number>): number {
  let best = 0;
  for (let k = 1; k < values.length; k++) if (values[k]! > values[best]!) best = k;
  return best;
}

/**
 * Natural logarithms of shares that add up to one.
 *
 * @param values one value per kind
 * @returns logarithm of each kind's share, the exponentials of the values over their sum
 */
export function logShares(values: ArrayLike<number>): number[] {
  let greatest = -Infinity, sum = 0;
  for (let k = 0; k < values.length; k++) greatest = Math.max(greatest, values[k]!);
  for (let k = 0; k < values.length; k++) sum += Math.exp(values[k]! - greatest);
  const total = Math.log(sum) + greatest;
  const logs = new Array<number>(values.length);
  for (let k = 0; k < values.length; k++) logs[k] = values[k]! - total;
  return logs;
}
