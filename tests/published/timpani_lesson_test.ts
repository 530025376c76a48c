/** Ranges of the four timpani: freepercussionlessons.com, How to play timpani rolls on low and high notes. */
import { assertEquals } from "@std/assert";
import { instrumentById, pitchOf } from "ripieno";
import { timpaniDrums, timpaniTuning } from "ripieno/instruments";
import text from "./data/instrument_ranges.csv" with { type: "text" };
import { tableRows } from "./hearing_rows.ts";

Deno.test("timpani lesson: the four drums overlap and lie within the catalogue's range of the set", () => {
  const drums = tableRows(text).filter((row) => row.list === "timpani lesson");
  assertEquals(
    drums.map((row) => row.instrument),
    ["32 in", "29 in", "26 in", "23 in"].map((size) => `timpani ${size}`),
  );
  const { low, high } = instrumentById("timpani").rangeExtreme;
  drums.forEach((drum, index) => {
    const from = pitchOf(drum.low_sounding!)!, to = pitchOf(drum.high_sounding!)!;
    assertEquals(from >= low && to <= high, true, drum.instrument);
    if (index > 0) assertEquals(from <= pitchOf(drums[index - 1]!.high_sounding!)!, true, drum.instrument);
  });
  assertEquals(pitchOf(drums[0]!.low_sounding!), low);
});

Deno.test("timpani lesson: the drums of the catalogue are those of the lesson", () => {
  const printed = tableRows(text).filter((row) => row.list === "timpani lesson");
  assertEquals(
    timpaniDrums().map((drum) => [drum.low, drum.high]),
    printed.map((row) => [pitchOf(row.low_sounding!), pitchOf(row.high_sounding!)]),
  );
});

Deno.test("timpani: four notes on four drums, five never, two low notes beside each other not always", () => {
  const tune = (names: string) => timpaniTuning(names.split(" ").map((name) => pitchOf(name)!));
  assertEquals(tune("G2 C3 D3 G3").possible, true);
  assertEquals(tune("F2 G2 C3 D3 E3").possible, false);
  assertEquals(tune("C2 D2").possible, false);
  assertEquals(tune("B3").reason, "No drum of the set has B3.");
  const later = timpaniTuning([pitchOf("C3")!, pitchOf("F2")!], tune("C3 G2").pitches);
  assertEquals([later.possible, later.retuned.length], [true, 0]);
});
