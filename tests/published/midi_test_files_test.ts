import { assert, assertEquals } from "@std/assert";
import Papa from "papaparse";
import { InputError } from "ripieno";
import { readMidi } from "ripieno/formats";
import { line, scoreOf } from "../formats/small_scores.ts";
import { writeMidi } from "../../lib/formats/midi/write_midi.ts";
import { csvRows, sharedFolder } from "../setup/shared_data.ts";
import text from "./data/midi_test_files.csv" with { type: "text" };

/**
 * Source: jazz-soft/test-midi-files, commit 1b27755 (2025-09-24), MIT licence, 73 files. `notes_by_mido` counts the
 * notes that mido 1.3.3 (Python) finds; it refuses ten files that the standard lets a reader recover. `outcome` is
 * what this library makes of each: the number of notes, or the reason for refusing it.
 */
interface Row {
  readonly file: string;
  readonly notes_by_mido: string;
  readonly outcome: string;
}

const rows = Papa.parse<Row>(text, { header: true, skipEmptyLines: true }).data;

/** Number of notes read, or why the file was refused. */
function outcome(bytes: Uint8Array, file: string): string {
  try {
    return String(readMidi(bytes, { file }).notes.length);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    assert(error.message.startsWith("Cannot read the MIDI file: ") && error.message.includes(`(${file})`));
    return `refused: ${/: (.*?) \(/.exec(error.message)![1]}`;
  }
}

Deno.test("MIDI test files: each of the 73 is read, note for note, or refused in one sentence", () => {
  assertEquals(rows.length, 73);
  for (const { file, notes_by_mido, outcome } of rows) {
    if (notes_by_mido !== "refused" && notes_by_mido !== "0") assertEquals(outcome, notes_by_mido, file);
  }
  const folder = sharedFolder("midi-testfiles");
  if (!folder) {
    assertEquals(outcome(writeMidi(scoreOf([{}], { notes: line([[1, 60]]) })), "one.mid"), "1");
    return;
  }
  for (const row of rows) {
    const bytes = Deno.readFileSync(new URL(`midi/${row.file}`, folder));
    assertEquals(outcome(bytes, row.file), row.outcome, row.file);
  }
});

Deno.test("MIDI test files: the three formats of one piece hold the same notes; format 2 plays its tracks in turn", () => {
  const folder = sharedFolder("midi-testfiles");
  if (!folder) return;
  const read = (format: number) => {
    const score = readMidi(Deno.readFileSync(new URL(`midi/test-2-tracks-type-${format}.mid`, folder)));
    return {
      pitches: score.notes.map((n) => n.soundingPitch).sort((a, b) => a - b),
      onsets: score.notes.map((n) => n.onsetTicks / score.ticksPerQuarter),
      parts: score.parts.length,
    };
  };
  const [zero, one, two] = [read(0), read(1), read(2)];
  assertEquals(one, zero);
  assertEquals([two.pitches, two.parts], [one.pitches, one.parts]);
  const half = two.onsets.length / 2;
  assert(Math.max(...two.onsets.slice(0, half)) < Math.min(...two.onsets.slice(half)));
});

Deno.test("MIDI of eight symphony movements: notes and instruments equal the dataset's index", () => {
  const folder = sharedFolder("s3-symphonies");
  if (!folder) return;
  for (const row of csvRows(new URL("index.csv", folder))) {
    const { piece } = row;
    const score = readMidi(Deno.readFileSync(new URL(`${piece}/${piece}.mid`, folder)), {
      file: `${piece}.mid`,
    });
    assertEquals([score.notes.length, score.parts.length], [
      Number(row["notes_in_midi"]),
      Number(row["instruments"]),
    ], piece);
    assertEquals(score.notices.filter((n) => n.what.startsWith("note moved")), [], piece);
    // The roles' files are named after the instruments, and so are the tracks.
    const named = [...Deno.readDirSync(new URL(`${piece}/roles`, folder))].map((f) =>
      f.name.replace(".csv", "")
    ).sort();
    assertEquals(score.parts.map((p) => p.name).sort(), named, piece);
    // Bar starts as the dataset gives them.
    const starts = new Set(score.bars.map((b) => Math.round(b.startTicks / score.ticksPerQuarter * 1000)));
    const downbeats = csvRows(new URL(`${piece}/downbeat.csv`, folder)).map((r) =>
      Math.round(Number(Object.values(r)[0]) * 1000)
    );
    const last = Math.max(...starts);
    const missing = downbeats.filter((d) => d <= last && !starts.has(d));
    assertEquals(
      missing.length / downbeats.length <= MISSING_SHARE,
      true,
      `${piece}: ${missing.length} of ${downbeats.length}`,
    );
  }
});

/** Bar starts that the time signatures of the files do not give (cadenzas and the like). */
const MISSING_SHARE = 0;
