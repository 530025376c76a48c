/** Weights that were fitted with one movement left out, by the movement's name. */
import { shapesNamed } from "../../lib/texture/figure_shapes.ts";
import type { FigureWeights } from "../../lib/texture/judge/figure_weights.ts";
import type { TextureWeights } from "../../lib/texture/judge/weights.ts";
import figures from "../published/data/figure_weights_left_out.json" with { type: "json" };
import textures from "../published/data/texture_weights_left_out.json" with { type: "json" };

/** Weights textures are read by. */
export const TEXTURE_WEIGHTS_WITHOUT: Readonly<Record<string, TextureWeights>> = Object.fromEntries(
  Object.entries(textures).map(([name, data]) => [name, { ...data, kinds: shapesNamed(data.kinds) }]),
);

/** Weights shapes of figures are told by. */
export const FIGURE_WEIGHTS_WITHOUT: Readonly<Record<string, FigureWeights>> = Object.fromEntries(
  Object.entries(figures).map(([name, data]) => [name, { ...data, shapes: shapesNamed(data.shapes) }]),
);
