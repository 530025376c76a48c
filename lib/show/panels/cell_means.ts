/** Means of settings by two of their choices. */
import { mean } from "simple-statistics";
import { InputError } from "../../base/errors.ts";

export interface CellMean {
  /** Value of the choice along the columns. */
  readonly x: string | number;
  /** Value of the choice down the rows. */
  readonly y: string | number;
  /** Mean over the settings of the cell; null where none has a figure. */
  readonly mean: number | null;
  /** Lowest figure; null likewise. */
  readonly lowest: number | null;
  /** Highest figure; null likewise. */
  readonly highest: number | null;
  /** Settings that have a figure. */
  readonly settings: number;
  /** Settings without one: refused, mostly. */
  readonly without: number;
}

/**
 * Gathers settings by two choices: a cell per pair of values, row by row in the order in which the values first stand
 * in the rows. Refuses rows without such a column.
 */
export function cellMeans(
  rows: readonly object[],
  columns: { readonly x: string; readonly y: string; readonly of: string },
): readonly CellMean[] {
  const table = rows as readonly Readonly<Record<string, unknown>>[];
  const missing = Object.values(columns).find((name) => table.some((row) => row[name] === undefined));
  if (missing !== undefined) {
    throw new InputError({
      action: "average settings by two choices",
      problem: `the rows have no column "${missing}"`,
      remedy: `Their columns are ${Object.keys(table[0]!).join(", ")}`,
    });
  }
  const valuesOf = (name: string) => [...new Set(table.map((row) => row[name] as string | number))];
  return valuesOf(columns.y).flatMap((y) =>
    valuesOf(columns.x).map((x): CellMean => {
      const own = table.filter((row) => row[columns.x] === x && row[columns.y] === y);
      const figures = own.map((row) => row[columns.of])
        .filter((v): v is number => typeof v === "number" && Number.isFinite(v));
      const isEmpty = figures.length === 0;
      return {
        x,
        y,
        mean: isEmpty ? null : mean(figures),
        lowest: isEmpty ? null : Math.min(...figures),
        highest: isEmpty ? null : Math.max(...figures),
        settings: figures.length,
        without: own.length - figures.length,
      };
    })
  );
}
