/** How low an interval can lie before it turns to mud. */
import { A_NUMBER, checkArgument, oneOf } from "../base/arguments.ts";
import { once } from "../base/memo.ts";
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import csv from "../../data/low_intervals.csv" with { type: "text" };

/** Which published table of low-interval limits to use; they differ by up to 11 semitones (tritone). */
export type LowIntervalTable = "glossary" | "classroom";

interface LimitRow {
  readonly table: LowIntervalTable;
  readonly semitones: number;
  readonly lowest_lower_midi_pitch: number;
}

const limits = once((): Readonly<Record<LowIntervalTable, readonly number[]>> => {
  const rows = Papa.parse<LimitRow>(csv.trim(), { header: true, dynamicTyping: true }).data;
  const found = { glossary: new Array<number>(12).fill(0), classroom: new Array<number>(12).fill(0) };
  for (const row of rows) found[row.table][row.semitones] = row.lowest_lower_midi_pitch;
  return found;
});

const A_TABLE = oneOf(["glossary", "classroom"]);

/**
 * Lowest pitch at which the lower note of an interval still sounds clear. Octaves and wider intervals have no
 * limit and give 0.
 *
 * @param semitones size of the interval
 * @param table which table; both are in `data/low_intervals.csv` with their sources
 * @returns sounding MIDI pitch of the lower note
 *
 * @example
 * ```ts
 * import { lowIntervalLimit } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * assertEquals([lowIntervalLimit(3), lowIntervalLimit(12)], [48, 0]);
 * ```
 */
export function lowIntervalLimit(semitones: number, table: LowIntervalTable = "glossary"): number {
  checkArgument("look up the interval", semitones, A_NUMBER, "semitones");
  checkArgument("look up the interval", table, A_TABLE);
  return limits()[table][Math.round(semitones)] ?? 0;
}
