/** The tables of a survey: their columns in order, with the kind of each. */
import type { SurveyBar, SurveyRecipeRow, SurveyScore } from "../survey_results.ts";

/** Kinds of columns, in the words of Parquet. */
type ColumnKind = "STRING" | "INT32" | "DOUBLE";

/** Columns of a table by the names of its rows' fields; every field has one. */
type ColumnsOf<Row> = { readonly [Field in keyof Row]-?: ColumnKind };

const SCORES: ColumnsOf<SurveyScore> = {
  path: "STRING",
  hash: "STRING",
  error: "STRING",
  title: "STRING",
  parts: "INT32",
  bars: "INT32",
  notes: "INT32",
  durationSeconds: "DOUBLE",
  momentum: "DOUBLE",
  secondaryShare: "DOUBLE",
  audibleShare: "DOUBLE",
  powerDb: "DOUBLE",
  handbookDb: "DOUBLE",
  freshness: "DOUBLE",
  barsBetweenChanges: "DOUBLE",
  leadChangesPer100Bars: "DOUBLE",
  medianLeadBars: "DOUBLE",
  longestLeadBars: "INT32",
  turnsPer100Bars: "DOUBLE",
  impossible: "INT32",
  risky: "INT32",
  tiring: "INT32",
  notices: "INT32",
};

const BARS: ColumnsOf<SurveyBar> = {
  path: "STRING",
  barIndex: "INT32",
  bar: "STRING",
  onsetSeconds: "DOUBLE",
  momentum: "DOUBLE",
  audibleShare: "DOUBLE",
  loudnessSones: "DOUBLE",
  freshness: "DOUBLE",
  change: "DOUBLE",
  lead: "STRING",
};

const RECIPES: ColumnsOf<SurveyRecipeRow> = {
  path: "STRING",
  of: "STRING",
  first: "STRING",
  second: "STRING",
  value: "DOUBLE",
};

/** Names of the tables. */
export type SurveyTable = "scores" | "bars" | "recipes";

/** Columns of each table. */
export const SURVEY_TABLES: Readonly<Record<SurveyTable, Readonly<Record<string, ColumnKind>>>> = {
  scores: SCORES,
  bars: BARS,
  recipes: RECIPES,
};

/** A value of a row. */
export type SurveyValue = string | number | null;

/** A row of any of the tables. */
export type AnyRow = Readonly<Record<string, SurveyValue>>;

/** What is kept of one content: rows of each table, without the paths, of which there may be several. */
export type ContentRows = Readonly<Record<SurveyTable, readonly AnyRow[]>>;

/** The column that tables have beside what is kept of a content. */
export const PATH = "path";

/** Digits that figures are kept to. Machines and orders of summing may differ in what comes after. */
const DIGITS = 12;

/** A figure to so many digits; null for what is no figure. */
export function toTwelveDigits(value: number): number | null {
  if (!Number.isFinite(value)) return null;
  return Number(value.toPrecision(DIGITS)) + 0; // no zero below zero
}
