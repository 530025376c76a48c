/** Every figure of the catalogue says where it comes from, and every quoted one is checked against its source. */
import { assert, assertEquals } from "@std/assert";
import { csvRows } from "../setup/shared_data.ts";

const DATA = new URL("../../data/", import.meta.url);
const CONFIDENCES = ["quoted", "memory", "common practice", "derived", "model assumption"];

/** Tables of the catalogue, and the tests that hold their quoted rows against the source. */
const TABLES: Readonly<Record<string, readonly string[]>> = {
  "breath.csv": ["jacobs_breath_test.ts"],
  "brightening.csv": [],
  "change_times.csv": [],
  "decay.csv": [],
  "second_instruments.csv": [],
  "glissando_limits.csv": [],
  "handbook_ratios.csv": ["rimsky_korsakov_1922_test.ts"],
  "handbook_weights.csv": ["rimsky_korsakov_1922_test.ts"],
  "instrument_names.csv": [],
  "leaps.csv": [],
  "instruments.csv": [],
  "midi_programs.csv": [],
  "orchestras.csv": [],
  "percussion_keys.csv": [],
  "percussion_noise.csv": [],
  "rates.csv": ["fujii_2009_test.ts", "tonguing_observations_test.ts"],
  "registers.csv": [],
  "sound_id_stand_ins.csv": [],
  "sound_power.csv": [],
  "spectra.csv": [],
  "spectra_fit.csv": [],
  "stamina.csv": [],
  "stand_in_names.csv": [],
  "string_section_sizes.csv": ["string_section_sizes_test.ts"],
  "strings.csv": ["music21_test.ts"],
  "techniques.csv": [],
  "timpani_drums.csv": ["timpani_lesson_test.ts"],
  "tonguing.csv": [
    "fitzgibbon_1914_test.ts",
    "rimsky_korsakov_1922_test.ts",
    "tonguing_observations_test.ts",
  ],
};

Deno.test("every row of every table names its source and how far it can be trusted", () => {
  const counts: Record<string, number> = {};
  for (const table of Object.keys(TABLES)) {
    const rows = csvRows(new URL(table, DATA));
    assert(rows.length > 0, table);
    rows.forEach((row, index) => {
      const place = `${table} row ${index + 2}`;
      assert((row.source ?? "").length > 10, place);
      assert(CONFIDENCES.includes(row.confidence!), place);
      counts[row.confidence!] = (counts[row.confidence!] ?? 0) + 1;
    });
  }
  console.log(
    `rows by confidence: ${Object.entries(counts).map(([word, count]) => `${word} ${count}`).join(", ")}`,
  );
});

Deno.test("a table with quoted rows has tests against the sources, and only such a table", () => {
  for (const [table, tests] of Object.entries(TABLES)) {
    const quoted = csvRows(new URL(table, DATA)).some((row) => row.confidence === "quoted");
    assertEquals(quoted, tests.length > 0, table);
    for (const test of tests) {
      assert(Deno.statSync(new URL(`../published/${test}`, import.meta.url)).isFile, test);
    }
  }
});
