/** Numbers, bars and beats in the rows of tables that are corrected by hand. */
import type { Ticks } from "../../base/units.ts";
import type { TableFields } from "../../instruments/table_rows.ts";
import type { Bar, Score } from "../../score/model.ts";
import { barBeatOf } from "../../score/time.ts";

/** A number of a row, with what is wrong told. */
export function numberIn<Column extends string>(
  { field, error }: TableFields<Column>,
  column: Column,
): number {
  const value = Number(field(column));
  if (field(column) !== "" && Number.isFinite(value)) return value;
  throw error(column, `"${field(column)}" is not a number`, "Write a number, such as 3 or 2.5");
}

/** The bar a row means, as an index. */
export function barIn<Column extends string>(
  { field, error }: TableFields<Column>,
  column: Column,
  { bars }: Score,
): number {
  const found = bars.findIndex((b) => b.number === field(column));
  if (found >= 0) return found;
  const remedy = `Its bars are numbered ${bars[0]!.number} to ${bars.at(-1)!.number}`;
  throw error(column, `there is no bar ${field(column)}`, remedy);
}

/** How far into a bar the beat of a row lies. Beats of an upbeat are counted as in a whole bar. */
export function beatIn<Column extends string>(
  row: TableFields<Column>,
  column: Column,
  { score, bar }: { readonly score: Score; readonly bar: Bar },
): Ticks {
  const unit = 4 * score.ticksPerQuarter / bar.beatUnit;
  return Math.round((numberIn(row, column) - barBeatOf(score, bar.startTicks).beat) * unit);
}
