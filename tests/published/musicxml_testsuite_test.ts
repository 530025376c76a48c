/**
 * Unofficial MusicXML test suite (cuthbertLab/musicxmlTestSuite, commit
 * 924db45a957b63279f83019d8d83e6c37d5325bb, MIT licence): all 150 files are read or refused with a sentence,
 * and counts equal those of a second implementation (music21 10.5.0, `reference_counts.csv`) except where it
 * is argued below.
 */
import { assertEquals, assertMatch } from "@std/assert";
import { InputError } from "../../lib/base/errors.ts";
import { readScoreBytes } from "../../lib/formats/read_score_bytes.ts";
import { endTicksOf, quartersOf } from "../../lib/score/time.ts";
import type { Note, Score } from "../../lib/score/model.ts";
import { readMusicXml } from "../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../lib/formats/musicxml/write/write_musicxml.ts";
import { differences } from "../formats/compare_scores.ts";
import { engrave } from "../setup/engraver.ts";
import { musicXmlValidator } from "../setup/music_xml_schema.ts";
import { csvRows, sharedFolder } from "../setup/shared_data.ts";

const folder = sharedFolder("musicxml-testsuite");

/** Files that hold rests only. A study of nothing is no use, so they are refused. */
const NO_NOTES = [
  "02a-Rests-Durations.xml",
  "02b-Rests-PitchedRests.xml",
  "02c-Rests-MultiMeasureRests.xml",
  "41b-MultiParts-MoreThan10.xml",
  "41f-StaffGroups-Overlapping.xml",
  "41g-PartNoId.xml",
  "41h-TooManyParts.xml",
  "45a-SimpleRepeat.xml",
  "45c-RepeatMultipleTimes.xml",
  "45d-Repeats-Nested-Alternatives.xml",
  "45e-Repeats-Nested-Alternatives.xml",
  "45f-Repeats-InvalidEndings.xml",
  "46a-Barlines.xml",
  "51b-Header-Quotes.xml",
  "51c-MultipleRights.xml",
  "51d-EmptyTitle.xml",
  "52a-PageLayout.xml",
];

/** Rows, one for each stave: bars, pitched heads, unpitched, grace notes, lowest, highest, quarters. */
interface Argued {
  readonly ours: readonly string[];
  readonly why: string;
}

const ARGUED: Readonly<Record<string, Argued>> = {
  "02e-Rests-NoType.xml": {
    ours: ["2,3,0,0,52,72,5"],
    why: "The E3 has no staff element, which means stave 1; the other reader counts it on both staves",
  },
  "21f-Chord-ElementInBetween.xml": {
    ours: ["1,3,0,0,62,69,4"],
    why: "One chord of a quarter and rests of one and two quarters make four quarters, not six",
  },
  "24b-ChordAsGraceNote.xml": {
    ours: ["1,4,0,4,69,72,3"],
    why: "Two grace chords of two notes are four notes here, two events there",
  },
  "24e-GraceNote-StaffChange.xml": {
    ours: ["1,2,0,0,76,76,4", "1,0,0,2,,,4"],
    why: "The two grace notes say stave 2, and are kept there; the other reader has one stave",
  },
  "32c-MultipleNotationChildren.xml": {
    ours: ["1,3,0,0,69,69,3"],
    why: "The pitch has no alter; an accidental element is what is printed, not what sounds",
  },
  "33f-Trill-EndingOnGraceNote.xml": {
    ours: ["1,4,0,3,76,81,3"],
    why: "A second part is listed without music; it is left out, with a notice",
  },
  "43d-MultiStaff-StaffChange.xml": {
    ours: ["2,11,0,0,60,72,8", "2,12,0,0,48,71,8"],
    why: "Four notes of the lower voice say stave 1, and are kept there; 23 notes in all on both sides",
  },
};

function rowOf(score: Score, notes: readonly Note[]): string {
  const pitched = notes.filter((n) => !n.unpitched && !n.grace);
  const pitches = pitched.map((n) => n.soundingPitch);
  return [
    score.bars.length,
    pitched.reduce((sum, n) => sum + n.noteheads, 0),
    notes.filter((n) => n.unpitched && !n.grace).length,
    notes.filter((n) => n.grace).length,
    pitches.length ? Math.min(...pitches) : "",
    pitches.length ? Math.max(...pitches) : "",
    quartersOf(score, endTicksOf(score)),
  ].join(",");
}

/** One row per stave that has notes, as the reference splits parts; one for a part without any. */
function rowsOf(score: Score): string[] {
  return score.parts.flatMap((_, part) => {
    const notes = score.notes.filter((n) => n.part === part);
    const staves = [...new Set(notes.map((n) => n.staff))].sort((a, b) => a - b);
    return (staves.length > 0 ? staves : [1]).map((staff) =>
      rowOf(score, notes.filter((n) => n.staff === staff))
    );
  });
}

Deno.test("staves of a part are counted one by one, in an example of our own", () => {
  const note = (staff: number, octave: number) =>
    `<note><pitch><step>G</step><octave>${octave}</octave></pitch><duration>4</duration><staff>${staff}</staff></note>`;
  const xml =
    `<score-partwise><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>
    <part id="P1"><measure number="1"><attributes><divisions>1</divisions><staves>2</staves></attributes>
    ${note(1, 4)}<backup><duration>4</duration></backup>${note(2, 2)}</measure></part></score-partwise>`;
  assertEquals(rowsOf(readScoreBytes(new TextEncoder().encode(xml))), ["1,1,0,0,67,67,4", "1,1,0,0,43,43,4"]);
});

if (folder) {
  const files = [...Deno.readDirSync(new URL("xmlFiles/", folder))].map((entry) => entry.name).sort();
  const rows = csvRows(new URL("reference_counts.csv", folder));

  Deno.test("all 150 files are read with the counts of the second implementation, or refused in a sentence", () => {
    assertEquals(files.length, 150);
    const refused: string[] = [];
    for (const file of files) {
      const bytes = Deno.readFileSync(new URL(`xmlFiles/${file}`, folder));
      let score: Score;
      try {
        score = readScoreBytes(bytes, { file });
      } catch (error) {
        if (!(error instanceof InputError)) throw new Error(`${file} crashed`, { cause: error });
        if (NO_NOTES.includes(file)) assertMatch(error.message, /holds no notes/);
        refused.push(file);
        continue;
      }
      const reference = rows.filter((row) => row["file"] === file).map((row) => {
        const number = (name: string) => row[name] === "" ? "" : Number(row[name]);
        return [
          number("measures"),
          number("pitched_noteheads_excl_grace"),
          number("unpitched_or_empty"),
          number("grace_events"),
          number("lowest_sounding_midi"),
          number("highest_sounding_midi"),
          number("total_quarters"),
        ].join(",");
      });
      assertEquals(rowsOf(score), ARGUED[file]?.ours ?? reference, file);
    }
    assertEquals(refused, [...NO_NOTES, "32ad-Notations5.musicxml"].sort());
  });

  Deno.test("the file that is not well-formed is refused with line and column", () => {
    const file = "32ad-Notations5.musicxml";
    const bytes = Deno.readFileSync(new URL(`xmlFiles/${file}`, folder));
    try {
      readScoreBytes(bytes, { file });
      throw new Error("it was read");
    } catch (error) {
      assertMatch(
        (error as Error).message,
        /XML is broken: unexpected close tag \(32ad.*, row 141, column \d+\)/,
      );
    }
  });

  Deno.test("all 132 files that are read come back after writing, the same in every note, valid and engraved without a warning", async () => {
    const validate = musicXmlValidator();
    let written = 0;
    for (const file of files) {
      if (NO_NOTES.includes(file) || file === "32ad-Notations5.musicxml") continue;
      const score = readScoreBytes(Deno.readFileSync(new URL(`xmlFiles/${file}`, folder)), { file });
      const xml = writeMusicXml(score);
      assertEquals([file, differences(score, readMusicXml(xml))], [file, []]);
      assertEquals([file, validate?.(xml) ?? []], [file, []]);
      assertEquals([file, (await engrave(xml)).log], [file, ""]);
      written++;
    }
    assertEquals(written, 132);
  });

  Deno.test("the lines of the two files with glissandi and slides lead where they are drawn", () => {
    const lines = (file: string) => {
      const score = readScoreBytes(Deno.readFileSync(new URL(`xmlFiles/${file}`, folder)), { file });
      return score.notes.flatMap((n) =>
        (n.glissandi ?? []).map((g) =>
          `${g.kind} ${g.semitones} over ${g.lengthTicks / score.ticksPerQuarter}`
        )
      );
    };
    // G4 to F5, drawn in five ways as a glissando and in five as a slide; B4 to F5 and to C4.
    assertEquals(lines("33h-Spanners-Glissando.xml"), [
      ...Array(5).fill("glissando 10 over 1"),
      ...Array(5).fill("slide 10 over 1"),
    ]);
    assertEquals(lines("33a-Spanners.xml"), ["glissando 6 over 1", "slide -11 over 1"]);
  });
}
