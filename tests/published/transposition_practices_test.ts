/**
 * Transpositions of bass clarinets and of horns in the bass clef. A table after a score-reading guide
 * (geocities.ws/poeticcomposer, transposing instruments); J. Alder, A guide to understanding bass clarinet clef
 * notation (2020), and answers on music.stackexchange (86545); Transposition tricks, hornmatters.com (2008);
 * K. Bowen, The rise and fall of the bass clarinet in A.
 */
import { assertEquals, assertStringIncludes } from "@std/assert";
import { instrumentById, playability, type Score } from "ripieno";
import { readMusicXml } from "ripieno/formats";
import { findInstrument } from "ripieno/instruments";

/** Semitones from written to sounding; what a file says is believed before what the catalogue expects. */
const ROWS: readonly {
  readonly name: string;
  readonly practice: string;
  readonly semitones: number;
  readonly instrument: string;
}[] = [
  { name: "Bass Clarinet in B♭", practice: "French", semitones: -14, instrument: "bass clarinet" },
  { name: "Bassklarinette in B", practice: "German", semitones: -2, instrument: "bass clarinet" },
  { name: "Clarinette basse en La", practice: "French", semitones: -15, instrument: "bass clarinet in A" },
  { name: "Bassklarinette in A", practice: "German", semitones: -3, instrument: "bass clarinet in A" },
  { name: "Bass Clarinet in A", practice: "German", semitones: -3, instrument: "bass clarinet in A" },
  { name: "Horn in F", practice: "new bass clef", semitones: -7, instrument: "horn in F" },
  { name: "Horn in F", practice: "old bass clef", semitones: 5, instrument: "horn in F" },
];

/** Staff steps of an interval. */
const STEPS: Readonly<Record<number, number>> = { 2: 1, 3: 2, 5: 3, 7: 4, 14: 8, 15: 9 };

const fileOf = (name: string, semitones: number, written: string) => {
  const steps = Math.sign(semitones) * STEPS[Math.abs(semitones)]!;
  return `<score-partwise><part-list><score-part id="P1"><part-name>${name}</part-name></score-part></part-list>
    <part id="P1"><measure number="1"><attributes><divisions>1</divisions>
    <clef><sign>F</sign><line>4</line></clef>
    <transpose><diatonic>${steps}</diatonic><chromatic>${semitones}</chromatic></transpose></attributes>
    <note><pitch><step>${written[0]}</step><octave>${written[1]}</octave></pitch><duration>4</duration></note>
    </measure></part></score-partwise>`;
};

Deno.test("bass clarinets and horns: a file's own transposition is kept, whichever practice it follows", () => {
  for (const { name, practice, semitones, instrument } of ROWS) {
    const score = readMusicXml(fileOf(name, semitones, "G3"));
    assertEquals(
      [score.parts[0]!.instrument, score.parts[0]!.transposeSemitones, score.notes[0]!.soundingPitch],
      [instrument, semitones, 55 + semitones],
      `${name}, ${practice}`,
    );
  }
});

Deno.test("bass clarinets: the catalogue writes them as is usual now, a ninth and a tenth above their sound", () => {
  for (
    const [id, semitones, steps] of [["bass clarinet", -14, -8], ["bass clarinet in A", -15, -9]] as const
  ) {
    const { transposeSemitones, transposeSteps } = instrumentById(id);
    assertEquals([transposeSemitones, transposeSteps], [semitones, steps]);
  }
  // Without a key in the name the B flat instrument is meant.
  assertEquals(findInstrument({ names: ["Bassklarinette"] }).instrument.id, "bass clarinet");
  // The written range of both is one.
  const written = (id: string) => {
    const { rangeExtreme: { low, high }, transposeSemitones: by } = instrumentById(id);
    return [low - by, high - by];
  };
  assertEquals(written("bass clarinet in A"), written("bass clarinet"));
});

Deno.test("horns: an old bass clef that shows is read as it was meant; where no clef shows it, the way out speaks of it", () => {
  // Written B1, sounding E2 by the old rule, would be E1 in F by today's.
  const written = fileOf("Horn in F", -7, "B1");
  const rangesOf = (score: Score) => playability(score).findings.filter((f) => f.rule === "range");
  const read = readMusicXml(written);
  assertEquals([read.notes[0]!.soundingPitch, rangesOf(read)], [40, []]);
  const withoutClef = readMusicXml(written.replace(/<clef>.*<\/clef>/, ""));
  assertEquals(withoutClef.notes[0]!.soundingPitch, 28);
  const [finding] = rangesOf(withoutClef);
  assertStringIncludes(finding!.remedy, "old bass clef");
});
