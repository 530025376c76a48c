/** The rows of all contents put together to the tables of a survey, by path: the same bytes whatever the order of work. */
import { tableToCsv } from "../../formats/files/csv.ts";
import type { FileToWrite } from "../../formats/files/file_to_write.ts";
import { errorRows } from "../rows/content_rows.ts";
import { parquetOf } from "../rows/parquet.ts";
import { type AnyRow, SURVEY_TABLES, type SurveyTable } from "../rows/tables.ts";
import { CSV, fileOf, TABLES } from "./survey_files.ts";
import type { Recipe } from "../recipes/recipe_results.ts";
import { recipeFromRows } from "../rows/recipe_rows.ts";
import type { Survey, SurveyRecipeRow, SurveyScore } from "../survey_results.ts";
import { keptRows } from "./row_store.ts";

/** A file of a survey and its content. */
export interface SurveyedScore {
  readonly path: string;
  /** The content; {@linkcode NO_HASH} where it could not be read. */
  readonly hash: string;
}

/** Stands for the content of a file that cannot be read. */
export const NO_HASH = "";

/** The tables of a survey; that of scores as CSV too, for spreadsheets. */
export async function gathered(
  store: string,
  scores: readonly SurveyedScore[],
): Promise<readonly FileToWrite[]> {
  const files: FileToWrite[] = [];
  for (const table of TABLES) {
    files.push({ name: fileOf(table), content: await parquetOf(table, rowsOf(store, scores, table)) });
  }
  const columns = Object.keys(SURVEY_TABLES.scores);
  return [...files, { name: CSV, content: tableToCsv(await scoreRows(store, scores), { columns }) }];
}

/** The row of each score, by path. */
export async function scoreRows(
  store: string,
  scores: readonly SurveyedScore[],
): Promise<readonly (SurveyScore & AnyRow)[]> {
  const fields = Object.keys(SURVEY_TABLES.scores);
  const rows: (SurveyScore & AnyRow)[] = [];
  for await (const row of rowsOf(store, scores, "scores")) {
    const whole = Object.fromEntries(fields.map((field) => [field, row[field] ?? null]));
    rows.push(whole as unknown as SurveyScore & AnyRow);
  }
  return rows;
}

/** The recipes of the scores that could be measured, by path. */
export async function gatheredRecipes(store: string, { scores }: Survey): Promise<readonly Recipe[]> {
  const recipes: Recipe[] = [];
  for (const score of scores.filter((s) => s.error === null)) {
    const rows = await keptRows(store, score.hash, "recipes");
    recipes.push(recipeFromRows(score, (rows ?? []) as unknown as readonly SurveyRecipeRow[]));
  }
  return recipes;
}

async function* rowsOf(
  store: string,
  scores: readonly SurveyedScore[],
  table: SurveyTable,
): AsyncGenerator<AnyRow> {
  for (const { path, hash } of scores) {
    const kept = hash === NO_HASH ? undefined : await keptRows(store, hash, table);
    for (const row of kept ?? UNREAD[table]) yield { ...row, path };
  }
}

const UNREAD = errorRows(
  NO_HASH,
  "Cannot read the score: the file cannot be opened. Check that you may read it, and survey again.",
);
