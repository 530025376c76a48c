/** How far two recipes are apart. */
import { A_NUMBER, A_RECORD, checkArgument, checkOptions, listOf } from "../../base/arguments.ts";
import { refusals } from "../../base/errors.ts";
import type { NearRecipe, Recipe } from "./recipe_results.ts";

const ROWS = listOf(A_RECORD, "a list of rows");
const RECIPES = listOf(A_RECORD, "a list of recipes");

/** Refuses what is no recipe. */
export function checkRecipe(action: string, recipe: Recipe, name = "the recipe"): void {
  checkArgument(action, recipe, A_RECORD, name);
  checkArgument(action, recipe.roles, ROWS, `the roles of ${name}`);
  checkArgument(action, recipe.figures, ROWS, `the figures of ${name}`);
}

/** What the two shares weigh in a distance: who plays which figure says more than who does what. Model assumption: chosen
 * so that the halves of open movements find each other; from 0 to 0.2 for roles it makes no difference. */
const WEIGHTS = { roles: 0.2, figures: 0.8 } as const;

/**
 * How far two recipes are apart: the Hellinger distance (E. Hellinger, 1909) of who does what (role by family, a fifth) and
 * of who plays which figure (figure by instrument, four fifths), the root of the mean of their squares. 0 for the same shares,
 * 1 for nothing in common. It depends on these two alone: nothing is scaled by other scores, so that a score more or less in
 * a folder changes no distance.
 *
 * @param a a recipe
 * @param b another
 * @returns the distance, 0 to 1
 * @throws {InputError} when one of them is no recipe
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { recipeDistance, recipeOf } from "ripieno/survey";
 * import { assert, assertEquals } from "@std/assert";
 * const { held, moving, rotating } = demoPlans();
 * const [a, b, c] = [held, moving, rotating].map((plan) => recipeOf(realise(demoSketch(), plan)));
 * assertEquals(recipeDistance(a!, a!), 0);
 * assert(recipeDistance(b!, c!) < recipeDistance(a!, c!)); // the same figures, other players
 * ```
 */
export function recipeDistance(a: Recipe, b: Recipe): number {
  checkRecipe("hold the recipes against each other", a, "the first recipe");
  checkRecipe("hold the recipes against each other", b, "the second recipe");
  return distanceOf(vectorsOf(a), vectorsOf(b));
}

/** Square roots of the shares of a recipe, by what they are shares of. */
export interface RecipeVectors {
  readonly roles: ReadonlyMap<string, number>;
  readonly figures: ReadonlyMap<string, number>;
}

/** A recipe as it is compared. */
export function vectorsOf({ roles, figures }: Pick<Recipe, "roles" | "figures">): RecipeVectors {
  return {
    roles: new Map(roles.map((r) => [`${r.family}|${r.role}`, Math.sqrt(r.share)])),
    figures: new Map(figures.map((r) => [`${r.instrument}|${r.figure}`, Math.sqrt(r.share)])),
  };
}

/** The distance of two recipes as they are compared. */
export function distanceOf(a: RecipeVectors, b: RecipeVectors): number {
  return Math.sqrt(
    WEIGHTS.roles * squaredHellinger(a.roles, b.roles) +
      WEIGHTS.figures * squaredHellinger(a.figures, b.figures),
  );
}

function squaredHellinger(a: ReadonlyMap<string, number>, b: ReadonlyMap<string, number>): number {
  if (a.size === 0 && b.size === 0) return 0;
  let sum = 0;
  for (const key of new Set([...a.keys(), ...b.keys()])) {
    sum += ((a.get(key) ?? 0) - (b.get(key) ?? 0)) ** 2;
  }
  return Math.min(1, sum / 2);
}

/**
 * The recipes that are nearest to one, the nearest first.
 *
 * @param recipe the recipe
 * @param others recipes to look among; itself is left out where it is one of them
 * @param options how many; 5 unless said otherwise
 * @returns names and distances; those equally far by name
 * @throws {InputError} when something is no recipe, or `most` is no whole number from 1
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { nearestRecipes, recipeOf } from "ripieno/survey";
 * import { assertEquals } from "@std/assert";
 * const recipes = Object.values(demoPlans()).map((plan) => recipeOf(realise(demoSketch(), plan), { name: plan.name }));
 * assertEquals(nearestRecipes(recipes[1]!, recipes)[0]?.name, recipes[2]!.name);
 * ```
 */
export function nearestRecipes(
  recipe: Recipe,
  others: readonly Recipe[],
  options: { readonly most?: number } = {},
): readonly NearRecipe[] {
  const action = "find the nearest recipes";
  checkOptions(action, options, { most: A_NUMBER });
  checkRecipe(action, recipe);
  checkArgument(action, others, RECIPES, "the others");
  const { most = 5 } = options;
  if (!(Number.isInteger(most) && most >= 1)) {
    throw refusals(action)(`there are to be ${most} of them`, "Give a whole number from 1");
  }
  const own = vectorsOf(recipe);
  return others.filter((other) => other !== recipe).map((other, i): NearRecipe => {
    checkRecipe(action, other, `others[${i}]`);
    return { name: other.name, distance: distanceOf(own, vectorsOf(other)) };
  }).sort((a, b) => a.distance - b.distance || (a.name < b.name ? -1 : a.name > b.name ? 1 : 0)).slice(
    0,
    most,
  );
}
