/** A table in the folder of a survey. */
import { join } from "node:path";
import { readBytes } from "../../formats/files/read_bytes.ts";
import type { Recipe } from "../recipes/recipe_results.ts";
import { rowsOfParquet } from "../rows/parquet.ts";
import { recipeFromRows } from "../rows/recipe_rows.ts";
import type { AnyRow, SurveyTable } from "../rows/tables.ts";
import type { SurveyRecipeRow, SurveyScore } from "../survey_results.ts";
import { fileOf } from "./survey_files.ts";

/** Largest table that is read at once. */
const LARGEST_BYTES = 2_000_000_000;

/** The rows of a table of the survey in a folder. */
export async function tableIn(folder: string, table: SurveyTable): Promise<readonly AnyRow[]> {
  const file = join(folder, fileOf(table));
  const bytes = await readBytes(file, {
    action: "read the survey",
    largestBytes: LARGEST_BYTES,
    ifMissing: "Name the folder that a survey was kept in",
    ifFolder: "Name the folder that a survey was kept in",
    ifLarge: "Read it with a program for tables of that size",
  });
  return await rowsOfParquet(table, bytes, file);
}

/** The recipes of the survey in a folder. */
export async function recipesIn(folder: string): Promise<readonly Recipe[]> {
  const scores = await tableIn(folder, "scores") as unknown as readonly SurveyScore[];
  const rows = await tableIn(folder, "recipes") as unknown as readonly SurveyRecipeRow[];
  const byPath = Map.groupBy(rows, (row) => row.path);
  return scores.filter((score) => score.error === null)
    .map((score) => recipeFromRows(score, byPath.get(score.path) ?? []));
}
