/** Tables of figures: what stands in them for an instrument, by its own name, one it is like, or its family's. */
import { memoOf, once } from "../base/memo.ts";
import { figureNames, type Instrument, noFigure } from "./catalogue.ts";
import {
  type Column,
  type Columns,
  readTable,
  type Row,
  someText,
  type Sourced,
  sourced,
  under,
} from "./data_table.ts";

/** A figure and where it comes from. */
export interface FigureSource extends Sourced {
  /** Name it stands under: the instrument's own, one it is like, or its family's. */
  readonly figureOf: string;
}

/** A table of figures. What is asked of it is worked out once for each instrument. */
interface FigureTable<R extends FigureSource> {
  /** Rows under the nearest name of an instrument that has any. */
  readonly nearest: (instrument: Instrument) => readonly R[];
  /** Rows under all names of an instrument; of those that agree in a field, the ones under the nearest name alone. */
  readonly eachOf: (field: keyof R) => (instrument: Instrument) => readonly R[];
  /** What can be made of the rows under the nearest name of which anything can. */
  readonly made: <T>(make: Make<R, T>) => (instrument: Instrument) => T | undefined;
  /** The same where there has to be something, `what` in words. */
  readonly needed: <T>(what: string, make: Make<R, T>) => (instrument: Instrument) => T;
}

/** Makes something of the rows under one name, if it can. */
type Make<R, T> = (rows: readonly R[], instrument: Instrument) => T | undefined;

type FigureRow<C extends Columns> = Row<C> & FigureSource;

const NAMED: Readonly<Record<keyof FigureSource, Column<unknown>>> = {
  figureOf: under("instrument", someText),
  ...sourced,
};

/**
 * A table of figures, read when something of it is first asked for: `columns` are those beside the instrument, the
 * source and the confidence.
 */
export function figureTable<C extends Columns>(
  file: string,
  text: string,
  columns: C,
): FigureTable<FigureRow<C>> {
  const byName = once(() => {
    const rows = readTable(text, { file, columns: { ...NAMED, ...columns } }) as readonly FigureRow<C>[];
    return Map.groupBy(rows, (row) => row.figureOf);
  });
  const rowsOf = (instrument: Instrument) => figureNames(instrument).map((name) => byName().get(name) ?? []);
  const made = <T>(make: Make<FigureRow<C>, T>) =>
    memoOf((instrument: Instrument): T | undefined => {
      for (const rows of rowsOf(instrument)) {
        const found = make(rows, instrument);
        if (found !== undefined) return found;
      }
      return undefined;
    });
  const some = made((rows) => rows.length > 0 ? rows : undefined);
  return {
    nearest: (instrument) => some(instrument) ?? [],
    eachOf: (field) =>
      memoOf((instrument) =>
        rowsOf(instrument).reduce<readonly FigureRow<C>[]>(
          (all, rows) => [...all, ...rows.filter((row) => !all.some((one) => one[field] === row[field]))],
          [],
        )
      ),
    made,
    needed: (what, make) => {
      const found = made(make);
      return (instrument) => {
        const one = found(instrument);
        if (one === undefined) throw noFigure(what, instrument.id);
        return one;
      };
    },
  };
}
