/** Tables that people write: every row with its fields by column and the line it begins on, so that messages can name them. */
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import { InputError, type Place } from "../base/errors.ts";
import { nearestFirst } from "../base/nearest_first.ts";

/** What a table is, and which columns it may have. */
export interface TableKind<Column extends string> {
  /** What is being done, as a verb phrase: `read the plan`. */
  readonly action: string;
  /** What it is called: `a plan`. */
  readonly noun: string;
  /** What each row stands for: `layer`. */
  readonly each: string;
  readonly columns: readonly Column[];
  /** Columns that have to be there. */
  readonly required: readonly Column[];
}

/** A row with its fields by column. */
export interface TableFields<Column extends string> {
  readonly where: Place;
  /** The field of a column, empty where it is left out. */
  readonly field: (column: Column) => string;
  /** What is wrong in a column. */
  readonly error: (column: Column, problem: string, remedy: string) => InputError;
}

/**
 * The rows of a table. Its first row names the columns, in any order.
 *
 * @throws {InputError} with row and column, when it is no such table
 */
export function readRows<Column extends string>(
  text: string,
  kind: TableKind<Column>,
  file: string | undefined,
): readonly TableFields<Column>[] {
  const { action, each, required } = kind;
  const refuse = (problem: string, remedy: string) =>
    new InputError({ action, problem, where: { file }, remedy });
  const [head, ...rows] = tableRows(text);
  if (head === undefined) {
    throw refuse("it has no rows", `Begin with a row that names ${required.join(", ")}`);
  }
  checkColumns(head.fields, kind, { file, row: head.row });
  if (rows.length === 0) throw refuse("it has no rows", `Write one row per ${each}`);
  return rows.map((row) => fieldsOf(head.fields, row, { action, file }));
}

function checkColumns<Column extends string>(
  columns: readonly string[],
  { action, noun, columns: known, required }: TableKind<Column>,
  where: Place,
): void {
  const refuse = (problem: string, remedy: string) => new InputError({ action, problem, where, remedy });
  const missing = required.find((column) => !columns.includes(column));
  if (missing !== undefined) {
    const isNoTable = columns.length === 1 && where.file === undefined;
    const names = `first row must name ${required.join(", ")}`;
    const remedy = isNoTable
      ? `Give the text of the table, not the name of its file; its ${names}`
      : `Its ${names}`;
    throw refuse(`it has no column "${missing}"`, remedy);
  }
  columns.forEach((column, i) => {
    if (!(known as readonly string[]).includes(column)) {
      const remedy = `The columns are ${nearestFirst(column, known).join(", ")}`;
      throw refuse(`"${column}" is not a column of ${noun}`, remedy);
    }
    if (columns.indexOf(column) !== i) {
      throw refuse(`the column "${column}" stands twice`, "Keep one of them");
    }
  });
}

function fieldsOf<Column extends string>(
  columns: readonly string[],
  { fields, row, badQuotes }: NumberedRow,
  { action, file }: { readonly action: string; readonly file: string | undefined },
): TableFields<Column> {
  const where = { file, row };
  const refuse = (problem: string, remedy: string) => new InputError({ action, problem, where, remedy });
  if (badQuotes) {
    throw refuse(
      "a field's quotes are not closed, or stand inside it",
      "Put a field that holds commas or quotes in quotes, and write each quote within it twice",
    );
  }
  if (fields.length !== columns.length) {
    throw refuse(
      `the row has too ${fields.length < columns.length ? "few" : "many"} fields`,
      `Give the row as many fields as the first row has, ${columns.length}, and put fields that hold commas in quotes`,
    );
  }
  return {
    where,
    field: (column) => fields[columns.indexOf(column)] ?? "",
    error: (column, problem, remedy) =>
      new InputError({ action, problem, where: { ...where, column }, remedy }),
  };
}

interface NumberedRow {
  /** Its fields, without blanks around them. */
  readonly fields: readonly string[];
  /** Line of the text the row begins on, from 1. */
  readonly row: number;
  /** True when a field's quotes are left open or followed by more text. */
  readonly badQuotes: boolean;
}

const DELIMITERS = [",", ";", "\t"] as const;

/**
 * Splits a table (CSV) into rows. Fields may be separated by commas, semicolons or tabs, whichever its first row has
 * most of; rows without text are left out, and so is a byte order mark.
 */
function tableRows(text: string): readonly NumberedRow[] {
  const table = text.replace(/^\uFEFF/, "").replace(/\r\n?/g, "\n");
  const first = table.split("\n").find((line) => line.trim() !== "") ?? "";
  const counts = DELIMITERS.map((d) => first.split(d).length);
  const delimiter = DELIMITERS[counts.indexOf(Math.max(...counts))]!;
  const parsed = Papa.parse<string[]>(table, { delimiter, newline: "\n" });
  const badQuotes = new Set(parsed.errors.filter((e) => e.type === "Quotes").map((e) => e.row));
  let row = 1;
  return parsed.data.flatMap((fields, i) => {
    const begins = row;
    row += 1 + fields.join("").split("\n").length - 1;
    const trimmed = fields.map((f) => f.trim());
    return trimmed.every((f) => f === "")
      ? []
      : [{ fields: trimmed, row: begins, badQuotes: badQuotes.has(i) }];
  });
}
