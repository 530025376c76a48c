/** Rows of a table with the line each begins on, so that messages can name it. */
// @ts-types="@types/papaparse"
import Papa from "papaparse";

export interface NumberedRow {
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
export function tableRows(text: string): readonly NumberedRow[] {
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
