/** The recipe of a group: what its scores have in common. */
import { A_RECORD, A_TEXT, checkArgument, checkOptions, listOf } from "../../base/arguments.ts";
import { refusals } from "../../base/errors.ts";
import { weightedMean } from "../../base/weighted_mean.ts";
import { checkRecipe } from "./recipe_distance.ts";
import type { Recipe, RecipeTurn } from "./recipe_results.ts";

/**
 * The recipe of a group of scores: the mean of theirs, each score counted once, however long it is. Of the lengths of
 * leads it has the mean of the medians and the longest of all.
 *
 * @param recipes recipes of the group, each as from `recipeOf`
 * @param options name of the group
 * @returns one recipe
 * @throws {InputError} when there is none
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { meanRecipe, recipeOf } from "ripieno/survey";
 * import { assertEquals } from "@std/assert";
 * const recipes = Object.values(demoPlans()).map((plan) => recipeOf(realise(demoSketch(), plan)));
 * assertEquals(meanRecipe(recipes, { name: "Spate" }).scores, 3);
 * ```
 */
export function meanRecipe(recipes: readonly Recipe[], options: { readonly name?: string } = {}): Recipe {
  const action = "put the recipes together";
  checkOptions(action, options, { name: A_TEXT });
  checkArgument(action, recipes, listOf(A_RECORD, "a list of recipes"));
  if (recipes.length === 0) throw refusals(action)("there are none", "Give at least one");
  recipes.forEach((recipe, i) => checkRecipe(action, recipe, `recipes[${i}]`));
  const scores = recipes.reduce((sum, r) => sum + r.scores, 0);
  const mean = (of: (r: Recipe) => number | null | undefined): number | null =>
    weightedMean(recipes.flatMap((r) => {
      const value = of(r);
      return value === null || value === undefined ? [] : [[value, r.scores] as const];
    }));
  const stretches = Math.max(...recipes.map((r) => r.momentum.length));
  return {
    name: options.name ?? "group",
    bars: recipes.reduce((sum, r) => sum + r.bars, 0),
    scores,
    roles: meanShares(recipes, (r) => r.roles, scores),
    figures: meanShares(recipes, (r) => r.figures, scores),
    doublings: meanShares(recipes, (r) => r.doublings, scores),
    leads: {
      changesPer100Bars: mean((r) => r.leads.changesPer100Bars)!,
      medianBars: mean((r) => r.leads.medianBars),
      longestBars: Math.max(...recipes.map((r) => r.leads.longestBars)),
    },
    turnsPer100Bars: mean((r) => r.turnsPer100Bars)!,
    turns: recipes[0]!.turns.map(({ what }): RecipeTurn => ({
      what,
      share: mean((r) => r.turns.find((t) => t.what === what)?.share)!,
    })),
    momentum: Array.from({ length: stretches }, (_, s) => mean((r) => r.momentum[s])!),
    audibleShare: Array.from({ length: stretches }, (_, s) => mean((r) => r.audibleShare[s])),
  };
}

/** Shares of a group, the largest first: of the mean score. */
function meanShares<Row extends { readonly share: number }>(
  recipes: readonly Recipe[],
  rowsOf: (recipe: Recipe) => readonly Row[],
  scores: number,
): readonly Row[] {
  const sums = new Map<string, Row & { sum: number }>();
  for (const recipe of recipes) {
    for (const row of rowsOf(recipe)) {
      const { share, ...of } = row;
      const key = JSON.stringify(of);
      const one = sums.get(key);
      if (one) one.sum += share * recipe.scores;
      else sums.set(key, { ...row, sum: share * recipe.scores });
    }
  }
  return [...sums].sort(([a, one], [b, other]) => other.sum - one.sum || (a < b ? -1 : 1))
    .map(([, { sum, ...row }]) => ({ ...row, share: sum / scores } as unknown as Row));
}
