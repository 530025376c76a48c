/** Horns in the bass clef as it was once meant, and as it is meant today. */
import { assertEquals } from "@std/assert";
import { writeMusicXml } from "ripieno";
import { readMusicXml } from "ripieno/formats";
import { line, partOf, scoreOf } from "../small_scores.ts";

/** Two horns in F that begin in the treble clef and go to the bass clef: written notes as `C3`, one to a bar. */
function horns(...lines: readonly (readonly string[])[]): string {
  const transpose = "<transpose><diatonic>-4</diatonic><chromatic>-7</chromatic></transpose>";
  const note = (name: string) =>
    `<note><pitch><step>${name[0]}</step><octave>${
      name[1]
    }</octave></pitch><duration>4</duration><type>whole</type></note>`;
  const clef = (sign: string, line: number) => `<clef><sign>${sign}</sign><line>${line}</line></clef>`;
  const parts = lines.map((names, p) =>
    `<part id="P${p}"><measure number="1"><attributes><divisions>1</divisions>${
      clef("G", 2)
    }${transpose}</attributes>${note("C4")}</measure>${
      names.map((name, i) =>
        `<measure number="${i + 2}">${i === 0 ? `<attributes>${clef("F", 4)}</attributes>` : ""}${
          note(name)
        }</measure>`
      ).join("")
    }</part>`
  );
  const list = lines.map((_, p) =>
    `<score-part id="P${p}"><part-name>Horn ${p + 1}</part-name></score-part>`
  );
  return `<score-partwise version="4.0"><part-list>${list.join("")}</part-list>${
    parts.join("")
  }</score-partwise>`;
}

const pitches = (xml: string) => {
  const score = readMusicXml(xml);
  return score.parts.map((_, p) => score.notes.filter((n) => n.part === p).map((n) => n.soundingPitch));
};
const said = (xml: string) => readMusicXml(xml).notices.filter((n) => n.what.includes("bass clef of old"));

Deno.test("where a horn would lie below its lowest note, all horns of the file have the bass clef of old, an octave higher", () => {
  const old = horns(["C3", "B1"], ["G2", "G2"]);
  // A fourth above what is written (Piston, Orchestration, 1955, from memory): B1 sounds E2, 40; C3 sounds F3, 53.
  assertEquals(pitches(old), [[53, 53, 40], [53, 48, 48]]);
  assertEquals(said(old).map((n) => n.count), [2]);
  assertEquals(
    pitches(writeMusicXml(readMusicXml(old))),
    pitches(old),
    "written as today, it is not raised again",
  );
});

Deno.test("a bass clef that fits as it is meant today is left alone, as is one that would lie too high for the clef", () => {
  const modern = horns(["C3", "G2"]);
  assertEquals(pitches(modern), [[53, 41, 36]]);
  assertEquals(said(modern), []);
  assertEquals(pitches(horns(["B1"], ["C5"])), [[53, 40], [53, 65]]);
});

Deno.test("what is written here is read as it was, also where a horn has notes below its lowest", () => {
  const horn = partOf("Horn 1", { instrument: "horn in F", transposeSemitones: -7, transposeSteps: -4 });
  const low = scoreOf([{}, {}, {}, {}], { parts: [horn], notes: line([[4, 43], [4, 24], [4, 31], [4, 43]]) });
  const xml = writeMusicXml(low);
  assertEquals([pitches(xml), said(xml)], [[[43, 24, 31, 43]], []]);
  // Of a file from elsewhere nobody knows; there the clef is that of old.
  assertEquals(pitches(xml.replace(/<software>.*?<\/software>/, "")), [[55, 36, 43, 55]]);
});
