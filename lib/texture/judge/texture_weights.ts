/** The weights recognition goes by, read from `data/texture_weights.json`. */
import data from "../../../data/texture_weights.json" with { type: "json" };
import { shapesNamed } from "../figure_shapes.ts";
import type { TextureWeights } from "./weights.ts";

/**
 * Weights of the clues a texture is read by. How they were fitted, to which movements and by which script stands in
 * `about`.
 */
export const TEXTURE_WEIGHTS: TextureWeights = { ...data, kinds: shapesNamed(data.kinds) };
