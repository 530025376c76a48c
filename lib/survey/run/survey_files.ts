/** The files of a survey. */
import { SURVEY_TABLES, type SurveyTable } from "../rows/tables.ts";

/** Its tables. */
export const TABLES = Object.keys(SURVEY_TABLES) as readonly SurveyTable[];

/** The table of scores for spreadsheets. */
export const CSV = "scores.csv";

/** The file of a table. */
export function fileOf(table: SurveyTable): string {
  return `${table}.parquet`;
}

/** Names of the files of a survey. */
export const SURVEY_FILES: readonly string[] = [...TABLES.map(fileOf), CSV];
