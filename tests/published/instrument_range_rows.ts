/** The printed ranges of several lists against the catalogue's. */
import { assert, assertEquals } from "@std/assert";
import { instrumentById, pitchName, pitchOf } from "ripieno";
import text from "./data/instrument_ranges.csv" with { type: "text" };
import { tableRows } from "./hearing_rows.ts";

/**
 * Checks that every printed range lies within the catalogue's extreme range, or is listed with the reason; and
 * that no reason stands where the range does lie within.
 *
 * @param list name of the list
 * @param rows how many rows it has
 */
export function checkRanges(list: string, rows: number): void {
  const printed = tableRows(text).filter((row) => row.list === list);
  assertEquals(printed.length, rows);
  for (const row of printed) {
    const { rangeExtreme } = instrumentById(row.instrument!);
    const low = pitchOf(row.low_sounding!)!;
    const high = row.high_sounding ? pitchOf(row.high_sounding)! : low;
    const within = low >= rangeExtreme.low && high <= rangeExtreme.high;
    const ours = `${pitchName(rangeExtreme.low)} to ${pitchName(rangeExtreme.high)}`;
    const said = `${row.instrument} ${row.low_sounding} to ${row.high_sounding}, ours ${ours}: ${row.source}`;
    assertEquals(within, row.why_outside === "", said);
  }
  const outside = printed.filter((row) => row.why_outside !== "");
  for (const row of outside) assert(row.why_outside!.length > 20);
}

/**
 * Checks that the catalogue's lowest note is exactly the printed one, but for instruments listed with a reason.
 *
 * @param list name of the list
 * @param exceptions instrument and reason
 */
export function checkLowestNotes(list: string, exceptions: Readonly<Record<string, string>>): void {
  for (const row of tableRows(text).filter((each) => each.list === list)) {
    const { low } = instrumentById(row.instrument!).rangeExtreme;
    const same = low === pitchOf(row.low_sounding!);
    assertEquals(
      same,
      !(row.instrument! in exceptions),
      `${row.instrument}: ${pitchName(low)}, ${row.low_sounding}`,
    );
  }
}
