/** Recipes as points on a page, those that are alike beside each other. */
import { A_RECORD, checkArgument, listOf } from "../../base/arguments.ts";
import { refusals } from "../../base/errors.ts";
import { checkRecipe, distanceOf, vectorsOf } from "./recipe_distance.ts";
import type { Recipe, RecipePlace } from "./recipe_results.ts";

/** Most recipes that are placed: every pair is measured. */
const MOST = 1000;
/** Rounds after which an axis stands still, to the eye and far beyond. */
const ROUNDS = 300;

/**
 * Places recipes on a page by classical scaling (W. S. Torgerson, Multidimensional scaling: I. Theory and method,
 * Psychometrika 17, 1952): the two directions in which they differ most. What lies far apart is different; what lies close may
 * still differ in further directions, so each has its nearest beside it, by the true distance.
 *
 * @param recipes recipes, as from `recipeOf`, `meanRecipe` or `readRecipes`
 * @returns a place for each, in the same order
 * @throws {InputError} when there are fewer than two, or more than 1000
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { recipeOf, recipePlaces } from "ripieno/survey";
 * import { assertEquals } from "@std/assert";
 * const recipes = Object.values(demoPlans()).map((plan) => recipeOf(realise(demoSketch(), plan), { name: plan.name }));
 * assertEquals(recipePlaces(recipes).map((p) => p.nearest), ["moving textures", "roles handed round", "moving textures"]);
 * ```
 */
export function recipePlaces(recipes: readonly Recipe[]): readonly RecipePlace[] {
  const action = "place the recipes";
  checkArgument(action, recipes, listOf(A_RECORD, "a list of recipes"));
  recipes.forEach((recipe, i) => checkRecipe(action, recipe, `recipes[${i}]`));
  const count = recipes.length;
  if (count < 2 || count > MOST) {
    throw refusals(action)(
      `there are ${count} of them`,
      count < 2
        ? "Give two at least"
        : `Give ${MOST} at most, or put groups of scores together with meanRecipe`,
    );
  }
  const vectors = recipes.map(vectorsOf);
  const distances = vectors.map((a) => Float64Array.from(vectors, (b) => distanceOf(a, b)));
  const products = centredProducts(distances);
  const x = axisOf(products);
  const y = axisOf(withoutAxis(products, x));
  return recipes.map(({ name }, i): RecipePlace => {
    const nearest = nearestTo(distances[i]!, i);
    return { name, x: x[i]!, y: y[i]!, nearest: recipes[nearest]!.name, distance: distances[i]![nearest]! };
  });
}

function nearestTo(distances: Float64Array, own: number): number {
  let nearest = own === 0 ? 1 : 0;
  distances.forEach((d, i) => {
    if (i !== own && d < distances[nearest]!) nearest = i;
  });
  return nearest;
}

/** Products of the points that have these distances, seen from their middle. */
function centredProducts(distances: readonly Float64Array[]): readonly Float64Array[] {
  const squared = distances.map((row) => row.map((d) => d * d));
  const means = squared.map((row) => row.reduce((sum, d) => sum + d, 0) / row.length);
  const mean = means.reduce((sum, m) => sum + m, 0) / means.length;
  return squared.map((row, i) => row.map((d, j) => -(d - means[i]! - means[j]! + mean) / 2));
}

/** Coordinates along the direction of the largest spread, by repeated multiplication; the farthest is to the right. */
function axisOf(products: readonly Float64Array[]): Float64Array {
  const count = products.length;
  let axis = Float64Array.from({ length: count }, (_, i) => Math.cos(i + 1)); // any start that favours nobody
  let spread = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const next = Float64Array.from(products, (row) => row.reduce((sum, p, j) => sum + p * axis[j]!, 0));
    spread = Math.hypot(...next);
    if (spread < 1e-12) return new Float64Array(count);
    axis = next.map((v) => v / spread);
  }
  const farthest = axis.reduce((a, b) => Math.abs(b) > Math.abs(a) + 1e-9 ? b : a, 0);
  return axis.map((v) => Math.sign(farthest) * v * Math.sqrt(spread));
}

function withoutAxis(products: readonly Float64Array[], axis: Float64Array): readonly Float64Array[] {
  return products.map((row, i) => row.map((p, j) => p - axis[i]! * axis[j]!));
}
