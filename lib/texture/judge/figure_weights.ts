/** The weights shapes of figures are told by, read from `data/figure_weights.json`. */
import data from "../../../data/figure_weights.json" with { type: "json" };
import { type FigureShape, shapesNamed } from "../figure_shapes.ts";
import type { LinearModel } from "./weights.ts";

/** A small model that tells shapes apart, with how it was fitted. */
export interface FigureWeights {
  /** How the weights were fitted, and to what; for readers. */
  readonly about: string;
  /** The shapes, in the order of the model. */
  readonly shapes: readonly FigureShape[];
  /** Which shape a part's notes have, by named clues of their motion. */
  readonly model: LinearModel;
}

/** Weights of the clues that tell shapes of figures apart. */
export const FIGURE_WEIGHTS: FigureWeights = { ...data, shapes: shapesNamed(data.shapes) };
