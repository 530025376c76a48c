/**
 * Every onset, length and sounding pitch against a second implementation: music21 10.5 (BSD licence) read
 * the files of the MusicXML test suite and of OpenScore Orchestra, and its notes were reduced to the
 * fingerprints in `data/music21_notes.csv` in the way `noteFingerprint` describes.
 */
import { assertEquals, assertNotEquals } from "@std/assert";
import Papa from "papaparse";
import { readAbc } from "../../lib/formats/abc/read_abc.ts";
import { readScoreBytes } from "../../lib/formats/read_score_bytes.ts";
import { noteFingerprint } from "../setup/note_fingerprint.ts";
import { sharedFolder } from "../setup/shared_data.ts";
import text from "./data/music21_notes.csv" with { type: "text" };

/** Files in which the two differ, and why this reading is kept. */
const ARGUED: Readonly<Record<string, string>> = {
  "02e-Rests-NoType.xml": "a note without a staff element is counted on both staves there",
  "21f-Chord-ElementInBetween.xml": "a direction between the notes of a chord tears it apart there",
  "32c-MultipleNotationChildren.xml": "a printed accidental without an alteration changes the pitch there",
  "33i-Ties-NotEnded.xml": "ties with one end only: which notes count as tied",
  "Beethoven_Op.55_1.mxl":
    "a tie of the second oboe skips a note, bars 678 and 679: which notes count as tied",
  "Beethoven_Op.92_1.mxl":
    "two horns in the bass clef of old are read there as if it were today's, an octave too low",
};

const rows = Papa.parse<Record<string, string>>(text, { header: true, skipEmptyLines: true }).data;
const suite = sharedFolder("musicxml-testsuite");
const scores = sharedFolder("openscore-orchestra");

Deno.test("the fingerprint tells scores apart by one onset, one length or one pitch, and nothing else", () => {
  const of = (music: string) => noteFingerprint(readAbc(`X:1\nM:none\nL:1/4\nK:C\n${music}`)).fingerprint;
  assertEquals(of("C E G z"), of("{a}C .E !f!G z2"));
  for (const other of ["C E A z", "C E G2 z", "z C E G", "C E G- G"]) {
    assertNotEquals(of("C E G z"), of(other));
  }
});

if (suite && scores) {
  Deno.test("every note of 140 files has the onset, length and sounding pitch that music21 reads", () => {
    const different: string[] = [];
    for (const { file, notes, fingerprint } of rows) {
      const url = file!.endsWith(".mxl") && !file!.startsWith("90a")
        ? new URL(file!, scores)
        : new URL(`xmlFiles/${file}`, suite);
      const ours = noteFingerprint(readScoreBytes(Deno.readFileSync(url), { file: file! }));
      if (ours.fingerprint !== fingerprint) different.push(file!);
      else assertEquals(ours.notes, Number(notes), file);
    }
    assertEquals(different, Object.keys(ARGUED));
  });
}
