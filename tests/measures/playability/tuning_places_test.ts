import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import { instrumentById, pitchOf, playability } from "ripieno";
import type { Spelling } from "ripieno/score";
import { findingsOf, inTurn, rulesOf } from "../findings_of.ts";
import { type LineNote, repeatedNotes, smallScore } from "../small_scores.ts";

/** A note by its spelling, for example `Eb4`. */
function spelt(name: string, at: number, quarters = 0.25): LineNote {
  const spelling: Spelling = {
    step: name[0]!,
    alter: name.includes("#") ? 1 : name.includes("b") ? -1 : 0,
    octave: Number(name.at(-1)),
  };
  return { at, quarters, pitch: pitchOf(name)!, spelling };
}
const harp = (...names: readonly (readonly [string, number])[]) =>
  rulesOf(findingsOf("harp", names.map(([name, at]) => spelt(name, at)), { rule: "harp pedals" }));

// data/change_times.csv: a pedal takes 0.3 s, each foot moves one at a time (common practice, no source).
Deno.test("playability() harp: the same letter in two forms needs time for its pedal, other letters none", () => {
  assertEquals(harp(["C4", 0], ["C#4", 0.2]), ["risky harp pedals"]);
  assertEquals(harp(["C4", 0], ["C#4", 0.4]), []);
  assertEquals(harp(["C4", 0], ["Db4", 0.2]), []);
  // The harp is set before it begins: the first use of a letter is free.
  assertEquals(harp(["Eb4", 0], ["Bb4", 0.1], ["Ab4", 0.2]), []);
});

Deno.test("playability() harp: one foot moves its pedals in turn, two feet together", () => {
  const before = [["D4", 0], ["C4", 0], ["B4", 0], ["E4", 0]] as const;
  assertEquals(harp(...before, ["Db4", 0.45], ["Eb4", 0.45]), []);
  assertEquals(harp(...before, ["Db4", 0.45], ["C#4", 0.45]), ["risky harp pedals"]);
  assertEquals(harp(...before, ["Db4", 0.65], ["C#4", 0.65]), []);
  const hurried = findingsOf(
    "harp",
    [...before, ["Db4", 0.45], ["C#4", 0.45]].map(([name, at]) => spelt(String(name), Number(at))),
    { rule: "harp pedals" },
  );
  assertEquals(hurried.map((f) => f.limit), [0.6], "two pedals one after the other");
  // The left foot has D, C and B, the right one E, F, G and A.
  assertStringIncludes(hurried[0]!.what, "the left foot has 0.4 s for pedals D, C; it needs 0.6 s");
  const [right] = findingsOf("harp", [spelt("E4", 0), spelt("Eb4", 0.2)], { rule: "harp pedals" });
  assertStringIncludes(right!.what, "the right foot has 0.2 s for pedal E; it needs 0.3 s");
});

Deno.test("playability() harp: two forms of a letter at once have no setting; notes without spelling say nothing", () => {
  assertEquals(harp(["C4", 0], ["C#5", 0]), ["risky harp pedals"]);
  assertEquals(rulesOf(findingsOf("harp", inTurn([60, 61, 60, 61], 0.2), { rule: "harp pedals" })), []);
  assertEquals(findingsOf("piano", [spelt("C4", 0), spelt("C#4", 0.1)], { rule: "harp pedals" }), []);
});

const timpani = (pitches: readonly number[], quarters: number) =>
  findingsOf("timpani", inTurn(pitches, quarters), { rule: "timpani retuning" });

Deno.test("playability() timpani: four notes stand on four drums, a fifth needs a second to retune", () => {
  const [c, f, g, b] = [48, 41, 43, 46];
  assertEquals(timpani([c, g, c, g, f, c, g], 0.25), []);
  assertEquals(timpani([c, g, f, b, c, g, f, b], 0.25), []);
  assertEquals(timpani([38, 38, 38], 0.25), [], "the largest drum again and again");
  const [finding] = timpani([c, g, f, b, c, g, f, b, 44, c, g], 0.1);
  assertEquals([finding!.severity, finding!.limit, finding!.unit], ["risky", 1, "seconds"]);
  assertStringIncludes(finding!.what, "Ab2 needs a drum retuned");
  assertEquals(timpani([c, g, f, b, c, g, f, b, 44, c, g], 1.5), []);
});

/** Findings about key signatures of one part in a key at concert pitch. */
function keyOf(instrument: string, keyFifths: number) {
  const { transposeSemitones, transposeSteps } = instrumentById(instrument);
  const score = smallScore([{ instrument, role: "lead", notes: repeatedNotes(67, 1) }]);
  return playability({
    ...score,
    bars: score.bars.map((bar) => ({ ...bar, keyFifths })),
    parts: score.parts.map((part) => ({ ...part, transposeSemitones, transposeSteps })),
  }).findings.filter((f) => f.rule === "key signature");
}

// Orchestral players have clarinets in C, B flat and A at hand, none in E flat or D for the sake of a key (common practice).
Deno.test("playability() keys: an A clarinet in three flats is sent to the clarinet in B flat, and nobody to one in E flat", () => {
  const [finding] = keyOf("clarinet in A", -3);
  assertStringIncludes(finding!.remedy, "Write it for the clarinet in Bb, 1 flat");
  for (const instrument of ["clarinet in A", "clarinet in Bb", "trumpet in Bb", "trumpet in D"]) {
    for (let key = -7; key <= 7; key++) {
      for (const { remedy } of keyOf(instrument, key)) {
        assert(!/(clarinet|trumpet) in (Eb|D|F)/.test(remedy), `${instrument} in ${key}: ${remedy}`);
      }
    }
  }
});

// Transposition: a part in B flat reads two sharps more, in A three flats more, in F one sharp more.
Deno.test("playability() keys: a B flat clarinet in E major reads six sharps and is sent to the clarinet in A", () => {
  const [finding] = keyOf("clarinet in Bb", 4);
  assertEquals([finding!.severity, finding!.figure, finding!.limit], ["note", 6, 5]);
  assertStringIncludes(finding!.what, "the player reads 6 sharps where the score sounds in 4 sharps");
  assertStringIncludes(finding!.remedy, "Write it for the clarinet in A, 1 sharp");
  assertEquals(keyOf("clarinet in A", 4), []);
  assertEquals(keyOf("clarinet in Bb", -3), []);
});

Deno.test("playability() keys: an instrument without a sister is told what its page prints, one at concert pitch is left alone", () => {
  const [finding] = keyOf("cor anglais", 5);
  assertEquals(finding!.figure, 6);
  assertEquals(
    finding!.remedy,
    "Write the part in the enharmonic key, 6 flats, or leave out the signature and write accidentals",
  );
  // Beyond six sharps the page has the enharmonic key: five flats are read without a word.
  assertEquals(keyOf("cor anglais", 6), []);
  assertEquals(keyOf("flute", 6), []);
  assertEquals(keyOf("piccolo", 7), []);
});
