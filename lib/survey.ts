/**
 * Surveys: many scores side by side, what each is made of, and which are alike.
 *
 * @module
 */

export type * from "./survey/recipes/recipe_results.ts";
export { recipeOf } from "./survey/recipes/recipe.ts";
export type { RecipeOptions } from "./survey/recipes/recipe.ts";
export { nearestRecipes, recipeDistance } from "./survey/recipes/recipe_distance.ts";
export { recipePlaces } from "./survey/recipes/recipe_places.ts";
export { meanRecipe } from "./survey/recipes/mean_recipe.ts";
export { survey } from "./survey/survey.ts";
export type { SurveyOptions, SurveyShard } from "./survey/survey_options.ts";
export type * from "./survey/survey_results.ts";
export { readRecipes, readSurvey, readSurveyBars } from "./survey/read_survey.ts";
