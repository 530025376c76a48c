/** Lowest notes and open strings in music21's instrument module (GitHub cuthbertLab/music21, instrument.py). */
import { assertEquals } from "@std/assert";
import { instrumentById, pitchOf } from "ripieno";
import { stringsOf } from "ripieno/instruments";
import stringsText from "./data/music21_open_strings.csv" with { type: "text" };
import { tableRows } from "./hearing_rows.ts";
import { checkLowestNotes, checkRanges } from "./instrument_range_rows.ts";

Deno.test("music21: every lowest note lies within the catalogue's range", () => checkRanges("music21", 24));

Deno.test("music21: lowest notes are the catalogue's own, but for those it takes shorter instruments of", () => {
  checkLowestNotes("music21", {
    "double bass": "without the extension",
    "harp": "from the C string; the lowest is tuned to C flat",
    "bass clarinet": "the model to written E flat",
    "baritone saxophone": "without the low A key",
    "tenor trombone": "without pedal notes",
    "bass trombone": "without pedal notes",
  });
});

Deno.test("music21: all sixteen open strings of the violin family", () => {
  const rows = tableRows(stringsText);
  assertEquals(rows.length, 16);
  for (const row of rows) {
    const string = stringsOf(instrumentById(row.instrument!))[Number(row.string_from_lowest) - 1];
    assertEquals(string?.openPitch, pitchOf(row.open_sounding!), `${row.instrument} ${row.open_sounding}`);
  }
});
