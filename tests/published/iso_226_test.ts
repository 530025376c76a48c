import { assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { InputError } from "ripieno";
import { equalLoudnessLevelDb, type Iso226Edition, loudnessLevelPhon } from "ripieno/hearing";
import text from "./data/iso_226.csv" with { type: "text" };
import { tableRows } from "./hearing_rows.ts";

const rows = tableRows(text);

Deno.test("ISO 226: every tabulated contour value, both editions, within 0.05 dB (asked: 0.3 dB)", () => {
  assertEquals(rows.length > 90, true);
  for (const row of rows) {
    const phon = Number(row.phon), hz = Number(row.frequency_hz), level = Number(row.level_db_spl);
    const edition = row.edition as Iso226Edition;
    const said = `${row.source}: ${phon} phon, ${hz} Hz`;
    if (row.direction === "phon_to_level") {
      assertAlmostEquals(equalLoudnessLevelDb(phon, hz, { edition }), level, 0.0501, said);
    } else {
      assertAlmostEquals(loudnessLevelPhon(level, hz, { edition }), phon, 0.0501, said);
    }
  }
});

Deno.test("ISO 226: level and loudness level undo each other over the whole valid range", () => {
  for (const edition of ["2003", "2023"] as const) {
    for (let hz = 20; hz <= 12500; hz *= 1.07) {
      for (let phon = 20; phon <= (hz <= 4000 ? 90 : 80); phon += 10) {
        const level = equalLoudnessLevelDb(phon, hz, { edition });
        assertAlmostEquals(loudnessLevelPhon(level, hz, { edition }), phon, 1e-8);
      }
    }
  }
});

Deno.test("ISO 226: a louder contour lies higher everywhere, and the editions stay within 0.5 dB from 31.5 Hz up", () => {
  for (let hz = 31.5; hz <= 12500; hz *= 1.05) {
    let last = -Infinity;
    for (let phon = 20; phon <= 80; phon += 5) {
      const level = equalLoudnessLevelDb(phon, hz);
      assertEquals(level > last, true);
      last = level;
      assertAlmostEquals(equalLoudnessLevelDb(phon, hz, { edition: "2003" }), level, 0.5);
    }
  }
});

Deno.test("ISO 226: refuses what the standard does not cover", () => {
  assertThrows(() => equalLoudnessLevelDb(19, 1000), InputError, "20 phon");
  assertThrows(() => equalLoudnessLevelDb(91, 1000), InputError, "90 phon");
  assertThrows(() => equalLoudnessLevelDb(81, 5000), InputError, "80 phon");
  assertThrows(() => equalLoudnessLevelDb(40, 19), InputError, "20 Hz");
  assertThrows(() => equalLoudnessLevelDb(40, 12501), InputError, "12500 Hz");
  assertThrows(() => equalLoudnessLevelDb(NaN, 1000), InputError);
  assertThrows(() => loudnessLevelPhon(0, 63), InputError, "20 phon");
  assertThrows(() => loudnessLevelPhon(120, 1000), InputError, "90 phon");
  assertThrows(() => equalLoudnessLevelDb(40, 1000, { edition: "1987" as never }), InputError, "1987");
  assertThrows(() => equalLoudnessLevelDb(40, 1000, { year: 2003 } as never), InputError, "edition");
});
