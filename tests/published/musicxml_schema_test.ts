import { assert, assertEquals } from "@std/assert";
import { allInstruments } from "ripieno";
import { writeMusicXml, writePart } from "../../lib/formats/musicxml/write/write_musicxml.ts";
import { readMidi } from "../../lib/formats/midi/read_midi.ts";
import { fullScore, line, manyParts, partOf, scoreOf } from "../formats/small_scores.ts";
import { musicXmlValidator } from "../setup/music_xml_schema.ts";
import { openScore } from "../setup/open_scores.ts";
import { sharedFolder } from "../setup/shared_data.ts";

// Source: W3C Music Notation Community Group, MusicXML 4.0, `musicxml.xsd` and `sounds.xml`, checked with libxml2.

/** Where the schema is not here, at least the order of a note's elements is held to what it says. */
const NOTE_ORDER = [
  ...[
    "grace",
    "cue",
    "chord",
    "pitch",
    "unpitched",
    "rest",
    "duration",
    "tie",
    "instrument",
    "voice",
    "type",
  ],
  ...["dot", "accidental", "time-modification", "notehead", "staff", "beam", "notations"],
];

function faults(xml: string): readonly string[] {
  const validate = musicXmlValidator();
  if (validate) return validate(xml);
  const notes = xml.match(/<note>[\s\S]*?<\/note>/g) ?? [];
  return notes.filter((note) => {
    const names = [...note.matchAll(/\n {8}<([\w-]+)/g)].map((m) => NOTE_ORDER.indexOf(m[1]!));
    return names.some((place, i) => place < 0 || place < (names[i - 1] ?? 0));
  });
}

Deno.test("MusicXML schema: scores with one of everything are valid, and so is each part alone", () => {
  for (const score of [fullScore(), manyParts()]) {
    assertEquals(faults(writeMusicXml(score)), []);
    assertEquals(faults(writeMusicXml(score, { chordSymbols: 1, multipleRests: true })), []);
    score.parts.forEach((_, part) => assertEquals(faults(writePart(score, part)), []));
  }
});

Deno.test("MusicXML schema: a part for every instrument of the catalogue is valid, its sound id a standard one", () => {
  const parts = allInstruments().map((i) =>
    partOf(i.id, {
      instrument: i.id,
      transposeSemitones: i.transposeSemitones,
      transposeSteps: i.transposeSteps,
    })
  );
  const notes = allInstruments().map((i, part) => ({
    part,
    at: 0,
    length: 4,
    pitch: i.unpitched ? i.percussionKey ?? 38 : i.rangeComfortable.low,
    unpitched: i.unpitched,
  }));
  const xml = writeMusicXml(scoreOf([{}], { parts, notes }));
  assertEquals(faults(xml), []);
  const ids = [...xml.matchAll(/<instrument-sound>([^<]+)</g)].map((m) => m[1]!);
  assertEquals(ids.length, parts.length);
  const folder = sharedFolder("musicxml-schema");
  if (!folder) return;
  const standard = Deno.readTextFileSync(new URL("sounds.xml", folder));
  assertEquals(ids.filter((id) => !standard.includes(`id="${id}"`)), []);
});

Deno.test("MusicXML schema: the validator tells a fault", () => {
  const wrong = writeMusicXml(scoreOf([{}], { notes: line([[4, 60]]) })).replace(
    "<duration>",
    "<dot/><duration>",
  );
  assert(faults(wrong).length > 0);
});

Deno.test("MusicXML schema: whole symphony movements, read and written again, are valid", () => {
  const folder = sharedFolder("openscore-orchestra");
  if (!folder) return;
  // Eleven others are validated where their pages are compared with what is written of them.
  for (const name of ["Beethoven_Op.21_1", "Beethoven_Op.67_1"]) {
    const score = openScore(new URL(`${name}.mxl`, folder));
    assertEquals(faults(writeMusicXml(score)), [], name);
  }
});

Deno.test("MusicXML schema: MIDI files written as notation are valid", () => {
  const folder = sharedFolder("s3-symphonies");
  if (!folder) return;
  for (const piece of ["mo2", "mo3", "dv1", "dv4"]) {
    const score = readMidi(Deno.readFileSync(new URL(`${piece}/${piece}.mid`, folder)), {
      file: `${piece}.mid`,
    });
    assertEquals(faults(writeMusicXml(score)), [], piece);
  }
});
