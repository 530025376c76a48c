/** The weights doublings are told by, read from `data/doubling_weights.json`. */
import data from "../../../data/doubling_weights.json" with { type: "json" };
import type { LinearModel } from "./weights.ts";

/** A small model of one question, with how it was fitted. */
export interface DoublingWeights {
  /** How the weights were fitted, and to what; for readers. */
  readonly about: string;
  /** Whether two parts go in unison or octaves, by {@linkcode PAIR_CLUES}; more than nothing means yes. */
  readonly model: LinearModel;
}

/** Weights of the clues that two parts go in unison or octaves. */
export const DOUBLING_WEIGHTS: DoublingWeights = data;
