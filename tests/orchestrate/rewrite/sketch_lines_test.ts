/** What stands beside the tune: inner voices and bass line of keyboard music and short scores, as they are written, read, corrected and set. */
import { assert, assertEquals, assertGreater, assertMatch, assertThrows } from "@std/assert";
import { demoScore, demoSketch, readPlan, realise, sketchOf } from "ripieno";
import { readMidi, readMusicXml, writeMidi, writeMusicXml } from "ripieno/formats";
import { InputError } from "../../../lib/base/errors.ts";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { playability } from "../../../lib/measures/playability/playability.ts";
import type { Sketch } from "../../../lib/orchestrate/plan/sketch.ts";
import { readSketchLines, writeSketchLines } from "../../../lib/orchestrate/plan/sketch_table.ts";
import { rewrite } from "../../../lib/orchestrate/rewrite/rewrite.ts";
import { sketchFrom } from "../../../lib/orchestrate/rewrite/sketch_from.ts";
import type { Note, Score } from "../../../lib/score/model.ts";
import { spelledName } from "../../../lib/score/spelled_name.ts";
import { figureById } from "../../../lib/texture/figures.ts";
import { assignRole } from "../../../lib/texture/assign_role.ts";
import { textureOf } from "../../../lib/texture/recognise/recognise.ts";
import {
  keyboardAbc,
  type KeyboardPiece,
  keyboardXml,
  LANDING_HYMN,
  TOWPATH,
} from "../../setup/keyboard_pieces.ts";
import { pick } from "../../setup/generated_sketches.ts";
import { random } from "../../setup/random.ts";
import { musicXmlValidator } from "../../setup/music_xml_schema.ts";
import { faultsOf, notesOf, wholePlan } from "../sketches.ts";

const xmlOf = (piece: KeyboardPiece): Score => readMusicXml(keyboardXml(piece), { file: "piece.musicxml" });

/** A line as the pieces are written: names and lengths in units of the metre, ties joined. */
function inWords(line: readonly Note[], { score }: Pick<Sketch, "score">): readonly string[] {
  const unit = 4 / score.bars[0]!.beatUnit * score.ticksPerQuarter;
  return line.map((n) => `${spelledName(score, n)}:${n.durationTicks / unit}`);
}

/** A voice of a piece in the same words; of chords the top note. */
function written(piece: KeyboardPiece, voice: number, from = 1, to = Infinity): readonly string[] {
  const words = piece.voices[voice]!.bars.slice(from - 1, to).join(" ").replace(/[()]/g, "").split(" ");
  return words.filter((w) => !w.startsWith("r")).reduce<string[]>((done, word) => {
    const [name, length] = [word.split(":")[0]!.split("+").at(-1)!, parseInt(word.split(":")[1]!)];
    if (!done.at(-1)?.endsWith("~")) return [...done, `${name}:${length}${word.endsWith("~") ? "~" : ""}`];
    return [...done.slice(0, -1), `${name}:${parseInt(done.at(-1)!.split(":")[1]!) + length}`];
  }, []);
}

const HYMN_CHORDS = "Eb Cm Bb Eb Eb Fm Gm F7 Ab Fm Fm Eb Eb Ab Bb7 Eb".split(" ");

Deno.test("a hymn gives tune, alto, tenor and bass as they are written: from staves, voices, MIDI, and under chord symbols", () => {
  const xml = xmlOf(LANDING_HYMN);
  const sources: Readonly<Record<string, Sketch>> = {
    "MusicXML": sketchFrom(xml),
    "MIDI, all on one stave": sketchFrom(readMidi(writeMidi(xml))),
    "ABC in four voices": sketchFrom(readAbc(keyboardAbc(LANDING_HYMN), { file: "hymn.abc" })),
    "ABC with chord symbols": sketchOf(readAbc(keyboardAbc(LANDING_HYMN, HYMN_CHORDS), { file: "hymn.abc" })),
  };
  for (const [source, sketch] of Object.entries(sources)) {
    const lines = [sketch.tune, ...sketch.innerVoices, sketch.bassLine];
    assertEquals(lines.length, 4, source);
    lines.forEach((line, v) =>
      assertEquals(inWords(line, sketch), written(LANDING_HYMN, v), `${source}, voice ${v}`)
    );
  }
  // Slurs of the page stay with their line.
  const [alto] = sources["MusicXML"]!.innerVoices;
  assertEquals(alto!.filter((n) => n.slurStart).length, 2);
  assertEquals(alto!.filter((n) => n.slurred).length, 3);
});

/** Three bars in four voices, the inner ones in unison on the last beat of the first. */
const IN_UNISON = `X:1
T:Slip
M:3/4
L:1/4
Q:1/4=92
K:Eb
V:1
e2 f | g2 e | e3 |
V:2
G2 B | B2 c | B3 |
V:3 clef=bass
E2 B | E2 G | G3 |
V:4 clef=bass
E,2 D, | E,2 C, | E,3 |
`;

Deno.test("two inner voices in unison both have their note, and after the last bar there is no chord, nor a word for none", () => {
  const sketch = sketchFrom(readAbc(IN_UNISON, { file: "slip.abc" }));
  const [alto, tenor] = sketch.innerVoices.map((line) => inWords(line, sketch));
  assertEquals(alto, ["G4:2", "Bb4:1", "Bb4:2", "C5:1", "Bb4:3"]);
  assertEquals(tenor, ["Eb4:2", "Bb4:1", "Eb4:2", "G4:1", "G4:3"]);
  assert(sketch.score.chords.every((c) => c.onsetTicks < 9 * sketch.score.ticksPerQuarter));
});

Deno.test("a tune in the left hand is the tune, under after-beats and under held chords, from MusicXML, from ABC, and from MIDI with a track for each hand", () => {
  const abc = readAbc(keyboardAbc(TOWPATH), { file: "towpath.abc" });
  const sources = [xmlOf(TOWPATH), abc, readMidi(writeMidi(abc))];
  for (const sketch of sources.map((score) => sketchFrom(score))) {
    assertEquals(inWords(sketch.tune, sketch), [
      ...written(TOWPATH, 1, 1, 7),
      // Both hands come to rest in bar 8.
      ...inWords(sketch.tune, sketch).slice(written(TOWPATH, 1, 1, 7).length).slice(0, 1),
      ...written(TOWPATH, 0, 9, 16),
      ...written(TOWPATH, 1, 17, 20),
    ]);
    // Under the broken chords the bass is what lies lowest under each chord; a tune in the bass has none below it.
    const basses = sketch.bassLine.filter((n) => n.onsetTicks < sketch.score.bars[16]!.startTicks);
    assertEquals(inWords(basses, sketch), "F2 C3 D3 Bb2 G2 A2 A2 D3".split(" ").map((name) => `${name}:6`));
    assertEquals(sketch.innerVoices.length, 3);
    const last = sketch.innerVoices.map((voice) =>
      inWords(voice.filter((n) => n.onsetTicks >= sketch.score.bars[16]!.startTicks), sketch)
    );
    assertEquals(last[0], ["D5:6", "D5:6", "C#5:3", "C#5:3", "D5:6"]);
    assertEquals(last[2], ["F4:6", "G4:6", "G4:3", "E4:3", "F4:6"]);
  }
});

Deno.test("four voices of any notes and rhythms in beats, none across another, come back note for note", () => {
  const next = random(52_001);
  const rhythms = [[3], [2, 1], [1, 2], [1, 1, 1]];
  const steps = ["F2 G2 A2 B2 C3 D3", "F3 G3 A3 B3", "C4 D4 E4 F4", "G4 A4 B4 C5 D5 E5"].map((v) =>
    v.split(" ")
  );
  for (let i = 0; i < 40; i++) {
    const voices = steps.toReversed().map((tones, v) => ({
      staff: v < 2 ? 1 as const : 2 as const,
      bars: Array.from(
        { length: 6 },
        () => pick(rhythms, next).map((length) => `${pick(tones, next)}:${length}`).join(" "),
      ),
    }));
    const piece = { title: "Any", fifths: 0, beats: 3, beatType: 4, quartersPerMinute: 90, voices };
    const sketch = sketchOf(readAbc(keyboardAbc(piece, ["C"]), { file: "any.abc" }));
    const lines = [sketch.tune, ...sketch.innerVoices, sketch.bassLine];
    assertEquals(lines.map((line) => inWords(line, sketch)), voices.map((_, v) => written(piece, v)), `${i}`);
  }
});

/** A waltz in G of eight bars over one hand's chords. */
function waltz(title: string, hand: (bass: string, chord: string) => string): KeyboardPiece {
  const chords = [
    "G2 B3+D4",
    "G2 B3+D4",
    "B2 G3+D4",
    "D3 A3+C4",
    "C3 G3+E4",
    "A2 E3+C4",
    "D3 A3+C4",
    "G2 B3+D4",
  ];
  const tune = "G4:2 A4:1|B4:3|D5:2 B4:1|A4:3|E5:2 D5:1|C5:1 B4:1 A4:1|B4:2 A4:1|G4:3".split("|");
  const bars = chords.map((both) => hand(...(both.split(" ") as [string, string])));
  return {
    ...{ title, fifths: 1, beats: 3, beatType: 4, quartersPerMinute: 120 },
    voices: [{ staff: 1, bars: tune }, { staff: 2, bars }],
  };
}

Deno.test("a hand that goes to and fro between bass and chords has a bass line and no inner voices, one that holds them has both", () => {
  const striding = sketchFrom(xmlOf(waltz("Towrope", (bass, chord) => `${bass}:1 ${chord}:1 ${chord}:1`)));
  const holding = sketchFrom(xmlOf(waltz("Lock gate", (bass, chord) => `${bass}+${chord}:3`)));
  const basses = "G2 G2 B2 D3 C3 A2 D3 G2".split(" ");
  assertEquals(inWords(striding.bassLine, striding), basses.map((name) => `${name}:1`));
  assertEquals(striding.innerVoices, []);
  assertEquals(inWords(holding.bassLine, holding), basses.map((name) => `${name}:3`));
  assertEquals(
    holding.innerVoices.map((voice) => inWords(voice, holding).map((w) => w.split(":")[0]).join(" ")),
    ["D4 D4 D4 C4 E4 C4 C4 D4", "B3 B3 G3 A3 G3 E3 A3 B3"],
  );
  for (const sketch of [striding, holding]) {
    assertEquals(inWords(sketch.tune, sketch), written(waltz("", () => ""), 0));
  }
});

const SETTING = `passage,from_bar,to_bar,role,figure,parts,articulation,dynamic
Verse,1,8,lead,tune,Oboe 1,slurred,mp
Verse,1,8,counterline,inner voices,Clarinet 1 + Bassoon 1,,p
Verse,1,8,bass,bass line,Bassoon 2,,p
Answer,9,16,lead,tune,Violins I + Flute 1,slurred,mf
Answer,9,16,counterline,inner voices,Violins II + Violas + Horn 1,,mp
Answer,9,16,bass,bass line,Cellos + Double basses,,mp
`;

Deno.test("a plan gives inner voices and bass line to parts as they are written, with ties and slurs, playable and valid", () => {
  const sketch = sketchFrom(xmlOf(LANDING_HYMN));
  const score = realise(sketch, readPlan(SETTING));
  const lineOf = (name: string) => inWords(notesOf(score, name), { score });
  const within = (voice: number, from: number, to: number) => written(LANDING_HYMN, voice, from, to);
  assertEquals(lineOf("Clarinet 1"), within(1, 1, 8));
  assertEquals(lineOf("Bassoon 1"), within(2, 1, 8));
  assertEquals(lineOf("Bassoon 2"), within(3, 1, 8));
  // Each family has both voices where it has two parts.
  assertEquals(lineOf("Violins II"), within(1, 9, 16));
  assertEquals(lineOf("Violas"), within(2, 9, 16));
  assertEquals(lineOf("Cellos"), within(3, 9, 16));
  // Double basses sound an octave below cellos; what lies too low for them is an octave higher.
  const below = notesOf(score, "Cellos").map((n, i) =>
    n.soundingPitch - notesOf(score, "Double basses")[i]!.soundingPitch
  );
  assert(below.every((d) => d === 12 || d === 0));
  assertGreater(below.filter((d) => d === 12).length, 0.75 * below.length);
  assertEquals(notesOf(score, "Clarinet 1").filter((n) => n.slurStart).length, 2);
  assertEquals(playability(score).findings.filter((f) => f.severity === "impossible"), []);
  assertEquals(faultsOf(score, "rangeExtreme"), []);
  const page = writeMusicXml(score);
  assertEquals(musicXmlValidator()?.(page) ?? [], []);
});

Deno.test("an octave that is wished for inner voices is kept; left open, they lie as they are written", () => {
  const sketch = sketchFrom(xmlOf(LANDING_HYMN));
  const layers = (octave: number | null) => ([
    { role: "lead", parts: ["Violins I"], octave: 1 },
    { role: "counterline", figure: "inner voices", parts: ["Violins II", "Violas"], octave },
    { role: "bass", figure: "bass line", parts: ["Cellos"] },
  ] as const);
  const at = (octave: number | null) => realise(sketch, wholePlan(sketch, ...layers(octave)));
  const plain = notesOf(at(null), "Violas").map((n) => n.soundingPitch);
  assertEquals(notesOf(at(1), "Violas").map((n) => n.soundingPitch - 12), plain);
  assertEquals(plain, sketch.innerVoices[1]!.map((n) => n.soundingPitch));
});

Deno.test("two layers of inner voices share them out, so that each may have its own dynamic", () => {
  const sketch = sketchFrom(xmlOf(LANDING_HYMN));
  const inner = (part: string, dynamic: string) =>
    ({ role: "counterline", figure: "inner voices", parts: [part], dynamic }) as const;
  for (
    const [upper, lower] of [["Clarinet 1", "Bassoon 1"], ["Violins II", "Violas"], [
      "Clarinet 2",
      "Horn 1",
    ]] as const
  ) {
    const score = realise(
      sketch,
      wholePlan(
        sketch,
        { role: "lead", parts: ["Flute 1"], octave: 1 },
        inner(lower, "mf"),
        inner(upper, "p"),
      ),
    );
    assertEquals(inWords(notesOf(score, upper), { score }), written(LANDING_HYMN, 1), upper);
    assertEquals(inWords(notesOf(score, lower), { score }), written(LANDING_HYMN, 2), lower);
  }
});

Deno.test("lines go out as a table and come back the same; what is corrected in it holds, what is wrong in it is said", () => {
  for (const sketch of [sketchFrom(xmlOf(LANDING_HYMN)), sketchFrom(xmlOf(TOWPATH)), demoSketch()]) {
    const table = writeSketchLines(sketch);
    const again = readSketchLines(table, { sketch });
    assertEquals(writeSketchLines(again), table);
    assertEquals(again.harmonies, sketch.harmonies);
  }
  const sketch = sketchFrom(xmlOf(LANDING_HYMN));
  const table = writeSketchLines(sketch);
  const corrected = readSketchLines(table.replace("inner voice 1,1,1,2,Eb4", "inner voice 1,1,1,2,G4"), {
    sketch,
  });
  assertEquals(corrected.innerVoices[0]![0]!.soundingPitch, 67);
  const set = realise(
    corrected,
    wholePlan(corrected, { role: "lead", parts: ["Oboe 1"] }, {
      role: "counterline",
      figure: "inner voices",
      parts: ["Clarinet 1", "Bassoon 1"],
    }),
  );
  assertEquals(notesOf(set, "Clarinet 1")[0]!.soundingPitch, 67);
  const refused = (rows: string, words: RegExp) =>
    assertMatch(
      assertThrows(
        () => readSketchLines(`line,bar,beat,quarters,pitch,slur\n${rows}\n`, { sketch }),
        InputError,
      )
        .message,
      words,
    );
  refused("alto,1,1,1,C4,", /"alto" is not a line of a sketch.*row 2, column line/);
  refused("bass line,99,1,1,C3,", /there is no bar 99/);
  refused("bass line,1,4,1,C3,", /bar 1 has no beat 4/);
  refused("bass line,1,1,1,H3,", /"H3" is not a pitch/);
  refused("bass line,1,1,0,C3,", /"0" is no length/);
  refused("bass line,16,3,2,C3,", /lasts beyond the end/);
  refused("bass line,1,1,2,C3,\nbass line,1,2,1,D3,", /the note before in the bass line still sounds.*row 3/);
  refused("bass line,1,1,2,C3,up", /"up" says nothing of a slur/);
});

Deno.test("a line that a sketch does not have is asked for in vain: one sentence, with what would do", () => {
  const sketch = demoSketch();
  const asking = (figure: "inner voices" | "bass line", part: string) => () =>
    realise(
      sketch,
      wholePlan(sketch, { role: "lead", parts: ["Oboe 1"] }, {
        role: figureById(figure)!.role,
        figure,
        parts: [part],
      }),
    );
  const message = assertThrows(asking("inner voices", "Violas"), InputError).message;
  assertMatch(message, /the sketch does not have inner voices in bars 1 to 48.*"second line".*--lines/);
  assertMatch(
    assertThrows(asking("bass line", "Cellos"), InputError).message,
    /a bass line.*"sustained bass"/,
  );
});

Deno.test("a wish doubles the bass line and the inner voices that a finished score has, note for note", () => {
  const score = realise(sketchFrom(xmlOf(LANDING_HYMN)), readPlan(SETTING), { tacetParts: true });
  const wished = rewrite(score, [
    { fromBar: 9, toBar: 12, parts: ["Bassoon 1"], role: "bass", figure: "bass line" },
    { fromBar: 9, toBar: 12, parts: ["Clarinet 1"], role: "counterline", figure: "inner voices" },
  ]);
  const from = (notes: readonly Note[]) =>
    notes.filter((n) =>
      n.onsetTicks >= score.bars[8]!.startTicks && n.onsetTicks < score.bars[12]!.startTicks
    )
      .map((n) => [n.onsetTicks / score.ticksPerQuarter, n.soundingPitch % 12]);
  const now = (name: string) =>
    notesOf(wished.score, name).map((n) => ({
      ...n,
      onsetTicks: n.onsetTicks * score.ticksPerQuarter / wished.score.ticksPerQuarter,
    }));
  assertEquals(from(now("Bassoon 1")), from(notesOf(score, "Cellos")));
  const alto = from(notesOf(score, "Violins II"));
  const tenor = from(notesOf(score, "Violas"));
  assert([String(alto), String(tenor)].includes(String(from(now("Clarinet 1")))));
  const silent = textureOf(demoScore());
  const nobody = silent.cells.filter((c) => c.role === "counterline" && c.barIndex < 8).reduce(
    (texture, c) =>
      assignRole(texture, { part: c.part, fromBarIndex: c.barIndex, toBarIndex: c.barIndex, role: "pad" }),
    silent,
  );
  const asking = () =>
    rewrite(demoScore(), [{
      fromBar: 5,
      toBar: 8,
      parts: ["Violas"],
      role: "counterline",
      figure: "inner voices",
    }], {
      texture: nobody,
    });
  assertMatch(
    assertThrows(asking, InputError).message,
    /nobody has inner voices in bars 5 to 8.*"second line".*assignRole/,
  );
});
