/**
 * UNSW music acoustics, "Air speed and blowing pressure": volume flow 0.1 to 1 L/s, softer oboe below, loud
 * tuba above; 5 L last 5 to 50 s. And the planning durations worked out from flows placed inside that span.
 */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { allInstruments, instrumentById } from "ripieno";
import { airFlow, breathSeconds } from "ripieno/instruments";
import text from "./data/breath_seconds.csv" with { type: "text" };
import { tableRows } from "./hearing_rows.ts";

Deno.test("breath: the air of the thirty planning durations at p and f lasts as long, within their rounding", () => {
  const rows = tableRows(text);
  assertEquals(rows.length, 30);
  const held: string[] = [];
  for (const row of rows) {
    const [instrument, dynamic] = [instrumentById(row.instrument!), row.dynamic === "p" ? 3 : 6];
    const air = 4 / airFlow(instrument, dynamic)!;
    const where = `${row.instrument} at ${row.dynamic}`;
    assertAlmostEquals(air, Number(row.seconds), 0.051, where);
    const seconds = breathSeconds(instrument, dynamic)!;
    if (Math.abs(seconds - air) > 1e-9) held.push(where);
    assert(seconds <= air + 1e-9, where);
  }
  // Its volume would last an oboist longer than the breath can be held (bouhuys_1964_test.ts).
  assertEquals(held, ["oboe at p"]);
});

Deno.test("UNSW: flows lie between 0.1 and 1 L/s, but for the soft oboes below and the loud low brass above", () => {
  const litres = 4;
  const outside: string[] = [];
  for (const instrument of allInstruments().filter((each) => ["woodwind", "brass"].includes(each.family))) {
    for (const [mark, dynamic] of [["p", 3], ["f", 6]] as const) {
      const flow = litres / breathSeconds(instrument, dynamic)!;
      if (flow < 0.0999 || flow > 1.0001) outside.push(`${instrument.id} ${mark}`);
    }
  }
  assertEquals(outside, [
    "oboe p",
    "oboe d'amore p",
    "cor anglais p",
    "bass trombone f",
    "contrabass trombone f",
    "tuba f",
  ]);
});

Deno.test("UNSW: the longest breath is an oboe's, the shortest a tuba's", () => {
  const winds = allInstruments().filter((each) => ["woodwind", "brass"].includes(each.family));
  const sorted = [...winds].sort((a, b) => breathSeconds(a, 6)! - breathSeconds(b, 6)!);
  assertEquals(sorted[0]?.id, "tuba");
  assert(["oboe", "oboe d'amore"].includes(sorted.at(-1)!.id));
});
