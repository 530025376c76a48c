/**
 * Two published tables of low-interval limits, as pitch names. `glossary`: Sweetwater InSync glossary, Low
 * Interval Limit (quoted; names there count middle C as C3, here as C4). `classroom`: jazz-arranging classroom
 * table (from memory; published variants differ by 1 to 3 semitones).
 */
import { assertEquals } from "@std/assert";
import { pitchOf } from "ripieno";
import { lowIntervalLimit } from "ripieno/score";

/** Minor second to major seventh. */
const TABLES = {
  glossary: ["E3", "Eb3", "C3", "B2", "A2", "B1", "C#2", "F2", "F2", "F2", "F2"],
  classroom: ["E3", "Eb3", "C3", "Bb2", "Bb2", "Bb2", "Bb1", "F2", "F2", "F2", "F2"],
} as const;

Deno.test("lowIntervalLimit() gives both tables, interval by interval", () => {
  for (const table of ["glossary", "classroom"] as const) {
    const limits = TABLES[table].map((_, i) => lowIntervalLimit(i + 1, table));
    assertEquals(limits, TABLES[table].map((name) => pitchOf(name)!), table);
  }
});

Deno.test("lowIntervalLimit() sets no limit to unisons, octaves and more, and uses the quoted table by default", () => {
  for (const semitones of [0, 12, 13, 24, 36]) {
    assertEquals(lowIntervalLimit(semitones), 0);
    assertEquals(lowIntervalLimit(semitones, "classroom"), 0);
  }
  assertEquals(lowIntervalLimit(6), lowIntervalLimit(6, "glossary"));
});

Deno.test("lowIntervalLimit() of the tritone is where the two tables differ most, by 11 semitones", () => {
  const differences = TABLES.glossary.map((_, i) =>
    Math.abs(lowIntervalLimit(i + 1, "glossary") - lowIntervalLimit(i + 1, "classroom"))
  );
  assertEquals([Math.max(...differences), differences.indexOf(11) + 1], [11, 6]);
});
