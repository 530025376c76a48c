/** Sections that share a chord: divided into groups, or in double stops. */
import { assert, assertEquals, assertGreater, assertLess, assertMatch, assertThrows } from "@std/assert";
import { InputError } from "../../../lib/base/errors.ts";
import { writeMidi } from "../../../lib/formats/midi/write_midi.ts";
import { readMidi } from "../../../lib/formats/midi/read_midi.ts";
import { readMusicXml } from "../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../../lib/formats/musicxml/write/write_musicxml.ts";
import { instrumentById } from "../../../lib/instruments/catalogue.ts";
import { stopOn, stringsOf } from "../../../lib/instruments/special/stops.ts";
import { playersOfNotes } from "../../../lib/measures/players_at.ts";
import { playability } from "../../../lib/measures/playability/playability.ts";
import { assign, type AssignmentInput } from "../../../lib/orchestrate/plan/plan.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { realiserOf } from "../../../lib/orchestrate/realise/realiser.ts";
import type { Note, Score } from "../../../lib/score/model.ts";
import { recognise } from "../../../lib/texture/recognise/recognise.ts";
import { faultsOf, notesOf, SKETCHES, type TestLayer, wholePlan } from "../sketches.ts";

const LEAD = { role: "lead", parts: ["Flute 1"], dynamic: "f" } as const;
const BASS = { role: "bass", figure: "sustained bass", parts: ["Double basses"] } as const;
const GROUPS = [["divided", 2], ["divided in three", 3], ["divided in four", 4]] as const;
const FIGURES: readonly Pick<AssignmentInput, "role" | "figure">[] = [
  { role: "pad", figure: "held chord" },
  { role: "pulse", figure: "repeated eighths" },
  { role: "trill", figure: "tremolo" },
  { role: "trill", figure: "trill" },
  { role: "punctuation", figure: "stroke on the downbeat" },
];

/** Pitches of a part at the onset of each of its notes. */
function chordsOf(notes: readonly Note[]): readonly (readonly number[])[] {
  const onsets = [...new Set(notes.map((n) => n.onsetTicks))];
  return onsets.map((at) =>
    notes.filter((n) => n.onsetTicks <= at && n.onsetTicks + n.durationTicks > at).map((n) => n.soundingPitch)
  );
}

/** What a player reads: part by part, words and notes. */
const readOff = (score: Score) =>
  score.parts.map(({ name, playing }, p) => ({
    name,
    playing: playing?.map(({ kind, words }) => [kind, words]),
    notes: score.notes.filter((n) => n.part === p).map((n) =>
      [
        n.onsetTicks / score.ticksPerQuarter,
        n.durationTicks / score.ticksPerQuarter,
        n.soundingPitch,
        n.tremoloSlashes,
        n.trill,
      ].join(" ")
    ),
  }));

let chords = 0;
let complete = 0;
for (const [name, sketch] of Object.entries(SKETCHES)) {
  for (const [divisi, groups] of GROUPS) {
    Deno.test(`${name}: sections ${divisi} have a tone for each group, on one stave, and read back as written`, () => {
      for (const figure of FIGURES) {
        // Below the tune there is no room for twelve tones.
        const parts = groups === 4 ? ["Violins I"] : ["Violins I", "Violas", "Cellos"];
        const score = realise(
          sketch,
          wholePlan(sketch, LEAD, BASS, { ...figure, parts, divisi, dynamic: "p" }),
        );
        // The groups of a part sound at once.
        const faults = faultsOf(score, "rangeComfortable").filter((f) => !f.endsWith("overlaps itself"));
        assertEquals(faults, []);
        const playersOf = playersOfNotes(score);
        const words = groups === 2 ? "div." : `div. a ${groups}`;
        for (const part of parts) {
          const notes = notesOf(score, part);
          const { playing, players } = score.parts[notes[0]!.part]!;
          assertEquals(playing, [{
            fromTicks: notes[0]!.onsetTicks,
            kind: "divided",
            ...(groups > 2 ? { count: groups } : {}),
            words,
          }]);
          for (const pitches of chordsOf(notes)) {
            assertEquals(new Set(pitches).size, pitches.length);
            chords++;
            if (pitches.length === groups) complete++;
          }
          const shared = notes.filter((n) => notes.some((m) => m !== n && m.onsetTicks === n.onsetTicks));
          for (const n of shared) assertLess(playersOf(n), players);
        }
        assertEquals(playability(score).findings.filter((f) => f.rule === "stops"), []);
        const xml = writeMusicXml(score);
        // Chords in one voice: nothing has to go back in time for a second.
        for (const part of xml.match(/<part id=[\s\S]*?<\/part>/g)!) assert(!part.includes("<backup>"));
        assertEquals(readOff(readMusicXml(xml)), readOff(score));
        const midi = readMidi(writeMidi(score));
        assertEquals(
          midi.notes.length >= score.notes.filter((n) => n.tremoloSlashes === 0 && !n.trill).length,
          true,
        );
      }
    });
  }
}

Deno.test("nearly every chord of a divided section has a tone for each group", () => {
  assertGreater(complete, 0.95 * chords);
});

Deno.test("a divided pad is recognised as one, in every bar of its parts", () => {
  let cells = 0;
  let found = 0;
  for (const sketch of Object.values(SKETCHES)) {
    const score = realise(
      sketch,
      wholePlan(sketch, LEAD, BASS, { role: "pad", parts: ["Violas", "Cellos"], divisi: "divided" }),
    );
    const read = recognise(readMusicXml(writeMusicXml(score)));
    for (const { part, role } of read.cells) {
      if (!["Violas", "Cellos"].includes(score.parts[part]!.name) || role === "rest") continue;
      cells++;
      if (role === "pad") found++;
    }
  }
  assertGreater(found, 0.9 * cells);
});

Deno.test("the groups of a slurred pad are slurred one by one, and come back so from the page", () => {
  let slurred = 0;
  for (const sketch of Object.values(SKETCHES)) {
    const pad = {
      role: "pad",
      parts: ["Violas", "Cellos"],
      divisi: "divided",
      articulation: "slurred",
    } as const;
    const score = realise(sketch, wholePlan(sketch, LEAD, BASS, pad));
    const flags = (s: Score) =>
      s.notes.map((n) => [n.onsetTicks / s.ticksPerQuarter, n.soundingPitch, n.slurred].join(" "));
    slurred += score.notes.filter((n) => n.slurred).length;
    const read = readMusicXml(writeMusicXml(score));
    assertEquals(flags(read), flags(score));
  }
  assertGreater(slurred, 2);
});

Deno.test("div. stands where a section divides, unis. where it comes together again, of winds a 2", () => {
  const sketch = SKETCHES["four-four"]!;
  const orchestra = [
    { name: "Clarinets", instrument: "clarinet in Bb", players: 2 },
    { name: "Violas", instrument: "viola", players: 8 },
    { name: "Solo viola", instrument: "viola", players: 1 },
  ];
  const parts = ["Clarinets", "Violas", "Solo viola"];
  const pad = (more: Partial<AssignmentInput>) => assign({ role: "pad", parts, ...more });
  const plan = {
    name: "three passages",
    passages: [
      { name: "A", fromBar: 1, toBar: 2, assignments: [pad({})] },
      { name: "B", fromBar: 3, toBar: 4, assignments: [pad({ divisi: "divided" })] },
      { name: "C", fromBar: 5, toBar: 6, assignments: [pad({ divisi: "divided", dynamic: "p" })] },
      { name: "D", fromBar: 7, toBar: 8, assignments: [pad({})] },
    ],
  };
  const score = realise(sketch, plan, { orchestra });
  const words = score.parts.map((p) =>
    p.playing?.map((w) => [w.words, w.fromTicks / score.bars[0]!.durationTicks])
  );
  assertEquals(words, [
    [["stagger breathing", 0], ["div.", 2], ["a 2", 6]],
    [["div.", 2], ["unis.", 6]],
    undefined,
  ]);
  assertEquals(readMusicXml(writeMusicXml(score)).parts.map((p) => p.playing?.map((w) => w.words)), [
    ["div.", "a 2"],
    ["div.", "unis."],
    undefined,
  ]);
  const ofSolo = chordsOf(notesOf(score, "Solo viola"));
  assert(ofSolo.every((pitches) => pitches.length === 1));
});

Deno.test("double stops stand where they lie well, are played by all, and leave single notes elsewhere", () => {
  let stops = 0;
  let onsets = 0;
  for (const sketch of Object.values(SKETCHES)) {
    for (const figure of FIGURES.filter((f) => f.figure !== "trill")) {
      const parts = ["Violins II", "Violas", "Cellos"];
      const layer = { ...figure, parts, divisi: "double stops", dynamic: "p" } as const;
      const score = realise(sketch, wholePlan(sketch, LEAD, BASS, layer));
      const playersOf = playersOfNotes(score);
      for (const part of parts) {
        const notes = notesOf(score, part);
        const { playing, players, instrument } = score.parts[notes[0]!.part]!;
        assertEquals(playing?.map((p) => p.words), ["non div."]);
        for (const n of notes) assertEquals(playersOf(n), players);
        for (const pitches of chordsOf(notes)) {
          onsets++;
          if (pitches.length === 1) continue;
          stops++;
          assertEquals(pitches.length, 2);
          const stop = stopOn(instrumentById(instrument), pitches);
          assert(stop.possible, stop.reason);
          // Sixths, fourths, thirds, or an open string; within the first positions.
          assert(stop.openStrings > 0 || [1, 2, 3].includes(stop.stretchSemitones), `${pitches}`);
          const strings = stringsOf(instrumentById(instrument));
          const fingers = pitches.toSorted((a, b) => a - b).map((p, i) =>
            p - strings[stop.strings[i]! - 1]!.openPitch
          );
          assertLess(Math.max(...fingers), 10);
        }
      }
      assertEquals(playability(score).findings.filter((f) => f.rule === "stops"), []);
      assertEquals(readOff(readMusicXml(writeMusicXml(score))), readOff(score));
    }
  }
  assertGreater(stops, 0.6 * onsets);
});

Deno.test("who cannot divide or stop is told so, with the rule and a way out", () => {
  const sketch = SKETCHES["four-four"]!;
  const orchestra = [
    { name: "Clarinets", instrument: "clarinet in Bb", players: 2 },
    { name: "Oboe", instrument: "oboe", players: 1 },
    { name: "Cellos", instrument: "cello", players: 3 },
  ];
  const refusal = (parts: readonly string[], divisi: NonNullable<AssignmentInput["divisi"]>) =>
    assertThrows(
      () =>
        realise(
          sketch,
          wholePlan(sketch, { role: "pad", parts, divisi, where: { file: "cue.csv", row: 2 } }),
          { orchestra },
        ),
      InputError,
    ).message;
  assertMatch(
    refusal(["Oboe"], "divided"),
    /"Oboe" is one player, who cannot divide \(cue.csv, row 2, column divisi\)/,
  );
  assertMatch(refusal(["Clarinets"], "divided in three"), /"Clarinets" has 2 players, too few for 3 groups/);
  assertMatch(refusal(["Cellos"], "divided in four"), /Divide into fewer groups/);
  assertMatch(refusal(["Oboe", "Clarinets"], "double stops"), /"Oboe", "Clarinets" have no strings to stop/);
  for (const divisi of ["divided", "divided in three", "double stops"] as const) {
    const score = realise(sketch, wholePlan(sketch, { role: "pad", parts: ["Cellos", "Oboe"], divisi }), {
      orchestra,
    });
    assertGreater(score.notes.length, 8);
  }
});

Deno.test("what plans share is written as it is written alone, divided or not", () => {
  const sketch = SKETCHES["four-four"]!;
  const realiser = realiserOf(sketch);
  for (const divisi of ["", "divided", "double stops", "divided", ""] as const) {
    for (const voicing of ["", "open", "close"] as const) {
      const pad = { role: "pad", parts: ["Violas", "Cellos"], divisi, voicing } as const;
      const plan = wholePlan(sketch, LEAD, BASS, pad);
      assertEquals(realiser(plan).score, realise(sketch, plan));
    }
  }
});

Deno.test("half of a bass plucks the line that the other half bows: one line, its words, and bowed again as read", () => {
  const sketch = SKETCHES["four-four"]!;
  const plucked = wholePlan(sketch, LEAD, { ...BASS, divisi: "half pizzicato" });
  const score = realise(sketch, plucked);
  const bass = score.parts.find((p) => p.name === "Double basses")!;
  assertEquals(bass.playing!.map((p) => p.words), ["half pizz., half arco"]);
  assertEquals(score.notes, realise(sketch, wholePlan(sketch, LEAD, BASS)).notes);
  const page = readMusicXml(writeMusicXml(score), { file: "page.musicxml" });
  assertEquals(new Set(page.notes.map((n) => n.technique)), new Set(["ordinario"]));
  const refusal = (layer: TestLayer) =>
    assertThrows(() => realise(sketch, wholePlan(sketch, LEAD, layer)), InputError).message;
  assertMatch(
    refusal({ role: "bass", parts: ["Tuba"], divisi: "half pizzicato" }),
    /"Tuba" is no section of strings of 4 and more/,
  );
  assertThrows(
    () => assign({ role: "pad", parts: ["Violas"], divisi: "half pizzicato" }),
    InputError,
    "bass",
  );
  assertThrows(
    () => assign({ role: "bass", parts: ["Cellos"], divisi: "divided" }),
    InputError,
    "pad, pulse",
  );
});
