/** The harmony as a table. */
import { assertEquals, assertThrows } from "@std/assert";
import { demoPlans, demoSketch } from "../../lib/demo.ts";
import { tableToCsv } from "../../lib/formats/files/csv.ts";
import { harmonyTable } from "../../lib/harmony/harmony_table.ts";
import { readHarmony } from "../../lib/harmony/read_harmony.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";

const score = { ...realise(demoSketch(), demoPlans().moving), chords: [] };

Deno.test("a row for each span, columns in snake_case, notes beside the chord counted", () => {
  const harmony = readHarmony(score);
  const rows = harmonyTable(score, harmony);
  assertEquals(rows.length, harmony.spans.length);
  const [first] = rows;
  assertEquals(
    [first!.bar, first!.endBar, first!.chord, first!.degree, first!.key, first!.durationQuarters],
    ["1", "2", "Dm", "i", "D minor", 8],
  );
  const counted = rows.flatMap((row) => row.nonChordNotes.match(/\d+/g) ?? []).reduce(
    (sum, n) => sum + Number(n),
    0,
  );
  assertEquals(counted, harmony.nonChordNotes.length);
  const [header] = tableToCsv(rows).split("\r\n");
  assertEquals(
    header,
    "bar,beat,end_bar,onset_quarters,duration_quarters,onset_seconds,chord,degree,key,root_pitch_class,quality," +
      "bass_pitch_class,inversion,confidence,explained_share,origin,non_chord_notes",
  );
});

Deno.test("what is no harmony is refused in a sentence", () => {
  assertThrows(() => harmonyTable(score, [] as never), Error, "Give what readHarmony(score) gives");
});
