/**
 * "Ranges of Orchestral Instruments", reference table of orchestralibrary.com, compiled from Del Mar, Read,
 * Kennan and Lang.
 */
import { assertEquals } from "@std/assert";
import { instrumentById, pitchOf } from "ripieno";
import text from "./data/instrument_ranges.csv" with { type: "text" };
import { tableRows } from "./hearing_rows.ts";
import { checkRanges } from "./instrument_range_rows.ts";

Deno.test("orchestra library table: every printed range lies within the catalogue's", () => {
  checkRanges("orchestra library", 11);
});

Deno.test("orchestra library table: both ends are the catalogue's own, but for the flute and the E flat bass clarinet", () => {
  for (const row of tableRows(text).filter((each) => each.list === "orchestra library")) {
    const { low, high } = instrumentById(row.instrument!).rangeExtreme;
    const same = low === pitchOf(row.low_sounding!) && high === pitchOf(row.high_sounding!);
    // The table stops the flute at D7, its usual top; its second bass clarinet is the older model to written E flat.
    assertEquals(same, row.instrument !== "flute" && row.note !== "Eb model", row.instrument);
  }
});
