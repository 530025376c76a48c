/** Reading a table of the catalogue: every cell is checked, and a bad one is named by row and column. */
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import { InputError } from "../base/errors.ts";
import { pitchOf } from "../base/units.ts";

const MARKINGS: readonly string[] = ["ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"];

/** How one column is read. */
export interface Column<T> {
  /** What stands above it; by default the field's name in small letters, `lowHz` as `low_hz`. */
  readonly header?: string;
  /** What the cell must hold, in words. */
  readonly holds: string;
  /** Reads a trimmed cell; undefined means that it does not fit. */
  readonly read: (cell: string) => T | undefined;
}

/** Fields of a row, and how the column of each is read. */
export type Columns = Readonly<Record<string, Column<unknown>>>;

/** One row of a table, typed by its columns. */
export type Row<C extends Columns> = {
  readonly [K in keyof C]: C[K] extends Column<infer T> ? T : never;
};

/** A column under a header of its own. */
export function under<T>(header: string, column: Column<T>): Column<T> {
  return { ...column, header };
}

/** A cell of any text, which may be empty. */
export const anyText: Column<string> = { holds: "text", read: (cell) => cell };

/** A cell of text that must not be empty. */
export const someText: Column<string> = { holds: "some text", read: (cell) => cell || undefined };

/** A cell with a finite number. */
export const aNumber: Column<number> = { holds: "a number", read: readNumber };

/** A cell with a finite number, or nothing. */
export const numberOrNothing: Column<number | null> = {
  holds: "a number or nothing",
  read: (cell) => cell === "" ? null : readNumber(cell),
};

/** A cell with a pitch name such as `Bb3`, read as a MIDI number. */
export const aPitch: Column<number> = { holds: "a pitch such as Bb3 (C4 is middle C)", read: pitchOf };

/** A cell with a pitch name, or nothing. */
export const pitchOrNothing: Column<number | null> = {
  holds: "a pitch such as Bb3, or nothing",
  read: (cell) => cell === "" ? null : pitchOf(cell),
};

/** A cell with `yes` or `no`. */
export const yesOrNo: Column<boolean> = {
  holds: "yes or no",
  read: (cell) => cell === "yes" ? true : cell === "no" ? false : undefined,
};

/** A cell with a dynamic from `ppp` to `fff`, read as 1 to 8. */
export const aMarking: Column<number> = {
  holds: `one of ${MARKINGS.join(", ")}`,
  read: (cell) => MARKINGS.indexOf(cell) + 1 || undefined,
};

/** A cell with one word of a list. */
export function oneOf<const W extends string>(words: readonly W[]): Column<W> {
  return { holds: `one of ${words.join(", ")}`, read: (cell) => words.find((word) => word === cell) };
}

/** How far a figure can be trusted: read in the source, recalled, trade knowledge, worked out, or assumed. */
export type Confidence = "quoted" | "memory" | "common practice" | "derived" | "model assumption";

/** A cell with how far a figure can be trusted. */
export const someConfidence: Column<Confidence> = oneOf([
  "quoted",
  "memory",
  "common practice",
  "derived",
  "model assumption",
]);

/** The two columns that stand on every row: the source and how far the figure can be trusted. */
export const sourced: {
  /** Author, title, year, page. */
  readonly source: Column<string>;
  /** How far the figure can be trusted. */
  readonly confidence: Column<Confidence>;
} = { source: someText, confidence: someConfidence };

/** Where a figure comes from. */
export interface Sourced {
  /** Author, title, year, page; or `common practice, no source`. */
  readonly source: string;
  /** How far the figure can be trusted. */
  readonly confidence: Confidence;
}

/**
 * Reads a table and checks every cell. Columns that are not listed are refused; those that may be left out then count
 * as empty.
 */
export function readTable<C extends Columns>(
  text: string,
  options: {
    readonly file: string;
    readonly columns: C;
    readonly mayMiss?: readonly (keyof C & string)[];
  },
): readonly Row<C>[] {
  const { file, columns, mayMiss = [] } = options;
  const fields = Object.entries(columns).map(([field, column]) => ({
    ...column,
    field,
    name: column.header ?? headerOf(field),
  }));
  const parsed = Papa.parse<string[]>(text.replace(/^\uFEFF/, ""), { skipEmptyLines: true });
  const header = (parsed.data[0] ?? []).map((cell) => cell.trim());
  for (const { field, name } of fields) {
    if (!header.includes(name) && !mayMiss.includes(field)) {
      fail(file, 1, name, `the column "${name}" is missing`, `Add a column "${name}"`);
    }
  }
  const names = fields.map((each) => each.name);
  for (const name of header) {
    if (!names.includes(name)) {
      fail(file, 1, name, `there is no use for a column "${name}"`, `The columns are ${names.join(", ")}`);
    }
  }
  return parsed.data.slice(1).map((cells, index) => {
    const row: Record<string, unknown> = {};
    for (const { field, name, holds, read } of fields) {
      const cell = (cells[header.indexOf(name)] ?? "").trim();
      const value = read(cell);
      if (value === undefined) fail(file, index + 2, name, `"${cell}" is not ${holds}`, `Write ${holds}`);
      row[field] = value;
    }
    if (cells.length > header.length) {
      fail(
        file,
        index + 2,
        header.length + 1,
        "the row is longer than the header",
        "Put text with commas in quotes",
      );
    }
    return row as Row<C>;
  });
}

function headerOf(field: string): string {
  return field.replace(/(?<=[a-z0-9])(?=[A-Z])|(?<=[a-z])(?=\d)/g, "_").toLowerCase();
}

function readNumber(cell: string): number | undefined {
  const value = Number(cell);
  return cell !== "" && Number.isFinite(value) ? value : undefined;
}

function fail(file: string, row: number, column: string | number, problem: string, remedy: string): never {
  throw new InputError({ action: "read the table", problem, where: { file, row, column }, remedy });
}
