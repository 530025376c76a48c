import { assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { InputError } from "ripieno";
import { aWeightingDb } from "ripieno/hearing";
import text from "./data/iec_61672_1.csv" with { type: "text" };
import { tableRows } from "./hearing_rows.ts";

Deno.test("IEC 61672-1: A-weighting at every printed band within 0.1 dB", () => {
  const rows = tableRows(text);
  assertEquals(rows.length > 30, true);
  for (const row of rows) {
    assertAlmostEquals(
      aWeightingDb(Number(row.exact_hz)),
      Number(row.a_weighting_db),
      0.1,
      `${row.nominal_hz} Hz`,
    );
  }
});

Deno.test("IEC 61672-1: A-weighting refuses what is not a frequency", () => {
  for (const hz of [0, -1, NaN]) assertThrows(() => aWeightingDb(hz), InputError);
});
