/** The tables of a survey, read again. */
import { A_TEXT, checkArgument } from "../base/arguments.ts";
import type { Recipe } from "./recipes/recipe_results.ts";
import type { Survey, SurveyBar } from "./survey_results.ts";

const ACTION = "read the survey";

/**
 * The scores of a survey that is done.
 *
 * @param folder the folder it is kept in, `out` of `survey`
 * @returns a row for each file, sorted by path
 * @throws {InputError} when no survey stands there
 *
 * @example
 * ```ts
 * import { readSurvey, survey } from "ripieno/survey";
 * import { assertEquals } from "@std/assert";
 * const out = await Deno.makeTempDir();
 * const done = await survey("data/slack_water", { out });
 * assertEquals(await readSurvey(out), done);
 * ```
 */
export async function readSurvey(folder: string): Promise<Survey> {
  checkArgument(ACTION, folder, A_TEXT, "the folder");
  const { tableIn } = await import("./run/table_in.ts");
  return { folder, scores: await tableIn(folder, "scores") as unknown as Survey["scores"] };
}

/**
 * The recipes of a survey that is done.
 *
 * @param folder the folder it is kept in
 * @returns a recipe for each score that could be read, by path; its name is the path
 * @throws {InputError} when no survey stands there
 *
 * @example
 * ```ts
 * import { readRecipes, survey } from "ripieno/survey";
 * import { assertEquals } from "@std/assert";
 * const out = await Deno.makeTempDir();
 * await survey("data/slack_water", { out });
 * assertEquals((await readRecipes(out)).map((recipe) => recipe.scores), [1]);
 * ```
 */
export async function readRecipes(folder: string): Promise<readonly Recipe[]> {
  checkArgument(ACTION, folder, A_TEXT, "the folder");
  const { recipesIn } = await import("./run/table_in.ts");
  return await recipesIn(folder);
}

/**
 * The bars of a survey that is done: momentum, balance and freshness of every bar of every score.
 *
 * @param folder the folder it is kept in
 * @returns rows by path and bar
 * @throws {InputError} when no survey stands there
 *
 * @example
 * ```ts
 * import { readSurveyBars, survey } from "ripieno/survey";
 * import { assertEquals } from "@std/assert";
 * const out = await Deno.makeTempDir();
 * const { scores } = await survey("data/slack_water", { out });
 * assertEquals((await readSurveyBars(out)).length, scores[0]?.bars);
 * ```
 */
export async function readSurveyBars(folder: string): Promise<readonly SurveyBar[]> {
  checkArgument(ACTION, folder, A_TEXT, "the folder");
  const { tableIn } = await import("./run/table_in.ts");
  return await tableIn(folder, "bars") as unknown as readonly SurveyBar[];
}
