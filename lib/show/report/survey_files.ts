/** Pictures of a survey. */
import type { FileToWrite } from "../../formats/files/file_to_write.ts";
import { meanRecipe } from "../../survey/recipes/mean_recipe.ts";
import { recipePlaces } from "../../survey/recipes/recipe_places.ts";
import type { Recipe } from "../../survey/recipes/recipe_results.ts";
import { recipeChart } from "../charts/recipes/recipe.ts";
import { recipeMap } from "../charts/recipes/recipe_map.ts";
import { chartSvg } from "../drawing/save_chart.ts";

/** Scores that are drawn one by one; of more, folders are drawn. */
const MOST_SINGLE = 200;

/** Names of the pictures. */
const SURVEY_CHARTS: readonly string[] = ["charts/recipes.svg", "charts/recipe_map.svg"];

/**
 * Pictures of a survey's recipes: what each folder of scores is made of, or each score where there is one folder, and a map
 * of all scores, or of folders where scores are many.
 *
 * @param recipes recipes by path, as from `readRecipes`
 * @returns files for a folder; fewer where there is nothing to draw
 */
export function surveyCharts(recipes: readonly Recipe[]): readonly FileToWrite[] {
  if (recipes.length === 0) return [];
  const folders = [...Map.groupBy(recipes, ({ name }) => name.includes("/") ? name.split("/")[0]! : ".")]
    .map(([name, group]) => meanRecipe(group, { name }));
  const groups = folders.length > 1 ? folders : recipes;
  const placed = recipes.length <= MOST_SINGLE ? recipes : folders;
  const [bars, map] = SURVEY_CHARTS as [string, string];
  return [
    { name: bars, content: chartSvg(recipeChart(groups)) },
    ...(placed.length < 2 || placed.length > MOST_SINGLE
      ? []
      : [{ name: map, content: chartSvg(recipeMap(recipePlaces(placed))) }]),
  ];
}
