/** Weights that were fitted with a work or a movement left out, kept as small as they are. */
import { shapesNamed } from "../../lib/texture/figure_shapes.ts";
import type { FigureWeights } from "../../lib/texture/judge/figure_weights.ts";
import { TEXTURE_WEIGHTS } from "../../lib/texture/judge/texture_weights.ts";
import type { LinearModel, TextureWeights } from "../../lib/texture/judge/weights.ts";
import figures from "../published/data/figure_weights_left_out.json" with { type: "json" };
import textures from "../published/data/texture_weights_left_out.json" with { type: "json" };

/** Weights shapes of figures are told by, by the name of the movement that was left out. */
export const FIGURE_WEIGHTS_WITHOUT: Readonly<Record<string, FigureWeights>> = Object.fromEntries(
  Object.entries(figures).map(([name, data]) => [name, { ...data, shapes: shapesNamed(data.shapes) }]),
);

/** A model without the names of its clues. */
type PackedModel = Omit<LinearModel, "clues">;

/** Weights of which a model that is as in the weights fitted to all is missing. */
type Packed = Readonly<Record<string, string | PackedModel>>;

const MODELS = ["kind", "lead", "phrase", "broad"] as const;

/** Weights by the work that was left out, packed to be written: without what is kept with those fitted to all. */
export function packed(
  without: Readonly<Record<string, TextureWeights>>,
  all: TextureWeights,
): Readonly<Record<string, Packed>> {
  return Object.fromEntries(
    Object.entries(without).map(([work, weights]) => [
      work,
      Object.fromEntries([
        ["about", weights.about],
        ...MODELS.filter((m) => JSON.stringify(weights[m]) !== JSON.stringify(all[m])).map((m) => {
          const { clues: _clues, ...model } = weights[m];
          return [m, model] as const;
        }),
      ]),
    ]),
  );
}

/**
 * Weights textures are read by that have not seen a work.
 *
 * @param work the work, as the list of movements names it
 * @returns weights fitted to all other works
 */
export function weightsWithout(work: string): TextureWeights {
  const own = (textures as unknown as Readonly<Record<string, Packed>>)[work];
  if (own === undefined) throw new Error(`There are no weights that were fitted without ${work}.`);
  const modelOf = (m: typeof MODELS[number]): LinearModel => {
    const model = own[m];
    return model === undefined
      ? TEXTURE_WEIGHTS[m]
      : { ...(model as PackedModel), clues: TEXTURE_WEIGHTS[m].clues };
  };
  return {
    about: String(own["about"]),
    kinds: TEXTURE_WEIGHTS.kinds,
    kind: modelOf("kind"),
    lead: modelOf("lead"),
    phrase: modelOf("phrase"),
    broad: modelOf("broad"),
  };
}
