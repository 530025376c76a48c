/** The weights shapes of figures are told by, read from `data/figure_weights.json`. */
import data from "../../../data/figure_weights.json" with { type: "json" };
import type { Share } from "../../base/units.ts";
import { type FigureShape, shapesNamed } from "../figure_shapes.ts";
import { type LinearModel, valuesOf } from "./weights.ts";

/** A small model that tells shapes apart, with how it was fitted. */
export interface FigureWeights {
  /** How the weights were fitted, and to what; for readers. */
  readonly about: string;
  /** The shapes, in the order of the model. */
  readonly shapes: readonly FigureShape[];
  /**
   * How rare each shape was where the model was fitted: natural logarithm of the mean count of a shape over its own, less
   * what the model leans towards the shape already.
   */
  readonly rarity: readonly number[];
  /** How far rare shapes counted for more there, from 0 (as often as they came) to 1 (all shapes alike). */
  readonly evenness: Share;
  /** Which shape a part's notes have, by named clues of their motion. */
  readonly model: LinearModel;
}

/** Weights of the clues that tell shapes of figures apart. */
export const FIGURE_WEIGHTS: FigureWeights = { ...data, shapes: shapesNamed(data.shapes) };

/**
 * How much speaks for each shape by its clues.
 *
 * @param weights the model
 * @param row clues in the model's order
 * @param evenness how far rare shapes count for more
 * @returns one value per shape, in the model's order; their logarithms of shares are those of `logShares`
 */
export function shapeValues(
  { model, rarity, evenness: fitted }: FigureWeights,
  row: ArrayLike<number>,
  evenness: Share = fitted,
): readonly number[] {
  return valuesOf(model, row).map((value, k) => value + (evenness - fitted) * rarity[k]!);
}
