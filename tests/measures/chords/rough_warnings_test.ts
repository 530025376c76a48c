/** What is said of rough stretches: where they are, who clashes, and what moving one of them gives. */
import { assert, assertEquals, assertLess } from "@std/assert";
import { roughBars } from "ripieno/measures";
import type { Score } from "ripieno/score";
import { textureOf } from "ripieno";
import { roughWarnings } from "../../../lib/measures/chords/rough_warnings.ts";
import { type Line, type LineNote, smallScore } from "../small_scores.ts";

const oboe = (...notes: readonly LineNote[]): Line => ({ instrument: "oboe", role: "pad", notes });
const bar = (b: number, pitch: number): LineNote => ({ at: 4 * b, quarters: 4, pitch });

/** Four oboes a semitone apart in some bars, in thirds in the others. */
function clashesIn(bars: readonly number[], all = 8): Score {
  return smallScore(
    [0, 1, 2, 3].map((k) =>
      oboe(...Array.from({ length: all }, (_, b) => bar(b, bars.includes(b) ? 67 + k : 67 + 4 * k)))
    ),
    { bars: all },
  );
}

const warningsOf = (score: Score, most = 9) =>
  roughWarnings(score, roughBars(score), { texture: textureOf(score), most });

Deno.test("rough bars that follow each other are one warning, with the figure of the worst", () => {
  const score = clashesIn([1, 2, 5]);
  const rows = roughBars(score);
  const found = warningsOf(score);
  assertEquals(found.map((w) => [w.fromBarIndex, w.toBarIndex]), [[1, 2], [5, 5]]);
  for (const w of found) {
    const own = rows.slice(w.fromBarIndex, w.toBarIndex + 1).map((r) => r.roughness!);
    assertEquals(w.figure, Math.max(...own));
  }
  assertEquals(warningsOf(clashesIn([])), []);
});

Deno.test("the roughest stretches are kept, in the order of the score, each at its worst bar", () => {
  // Bar 1 has four semitones above each other, bars 3 and 4 two, of which the lower rub more.
  const score = smallScore([
    oboe(bar(0, 67), bar(2, 76), bar(3, 62), bar(5, 67)),
    oboe(bar(0, 68), bar(2, 77), bar(3, 63), bar(5, 68)),
    oboe(bar(0, 69)),
    oboe(bar(0, 70)),
  ], { bars: 6 });
  const rows = roughBars(score);
  const one = (b: number) => ({ ...rows[b]!, roughness: 0.5 + 0.01 * b });
  // Figures by hand: stretches of 0.50, 0.52 to 0.53, and 0.55.
  const given = [
    one(0),
    { ...rows[1]!, roughness: null },
    one(2),
    one(3),
    { ...rows[4]!, roughness: 0.49 },
    one(5),
  ];
  const of = (most: number) =>
    roughWarnings(score, given, { texture: textureOf(score), most }).map((w) => [w.bar, w.figure]);
  assertEquals(of(9), [["1", 0.5], ["4", 0.53], ["6", 0.55]]);
  assertEquals(of(2), [["4", 0.53], ["6", 0.55]]);
  assertEquals(of(1), [["6", 0.55]]);
});

Deno.test("a warning names the beat of the clash, the two pitches that rub most and who plays them", () => {
  for (const [beats, beatUnit] of [[4, 4], [6, 8], [2, 2]] as const) {
    const quarters = 4 / beatUnit;
    const at = 2 * quarters * (beats > 2 ? 1 : 0.5);
    const score = smallScore([
      oboe({ at: 0, quarters: beats * quarters, pitch: 60 }),
      { ...oboe({ at, quarters, pitch: 74 }), instrument: "flute" },
      { ...oboe({ at, quarters, pitch: 73 }), instrument: "clarinet in Bb" },
    ], { bars: 1, beats, beatUnit });
    const rows = roughBars(score).map((row) => ({ ...row, roughness: 0.6 }));
    const [warning] = roughWarnings(score, rows, { texture: textureOf(score), most: 1 });
    assertEquals(warning!.beat, beats > 2 ? 3 : 2);
    assert(
      warning!.what.endsWith("above all between clarinet in Bb 3 (C#5) and flute 2 (D5)"),
      `${beats}/${beatUnit}: ${warning!.what}`,
    );
  }
});

Deno.test("a soft semitone rubs less than a loud whole tone", () => {
  const line = (instrument: string, pitch: number, dynamic: number): Line => ({
    ...oboe({ ...bar(0, pitch), dynamic }),
    instrument,
  });
  const loudest = (soft: number, loud: number) => {
    const score = smallScore([
      line("flute", 79, soft),
      line("flute", 80, soft),
      line("trumpet in C", 60, loud),
      line("trumpet in C", 62, loud),
    ], { bars: 1 });
    const rows = roughBars(score).map((row) => ({ ...row, roughness: 0.6 }));
    return roughWarnings(score, rows, { texture: textureOf(score), most: 1 })[0]!.what.replace(
      /.*between /,
      "",
    );
  };
  assertEquals(loudest(2, 7), "trumpet in C 3 (C4) and trumpet in C 4 (D4)");
  assertEquals(loudest(7, 2), "flute 1 (G5) and flute 2 (Ab5)");
});

Deno.test("a warning's ways out are those that help, the best two first, with the figures they give", () => {
  const of = (lines: readonly Line[]) => {
    const score = smallScore(lines, { bars: 1 });
    const rows = roughBars(score).map((row) => ({ ...row, roughness: 0.6 }));
    return { score, remedy: roughWarnings(score, rows, { texture: textureOf(score), most: 1 })[0]!.remedy };
  };
  const { remedy } = of([oboe(bar(0, 71)), oboe(bar(0, 72))]);
  const [now, ...after] = [...remedy.matchAll(/(?<=it is |up |down |resting )\d\.\d\d/g)].map(Number);
  assertEquals(after.length, 2, remedy);
  assert(after[0]! <= after[1]!);
  after.forEach((figure) => assertLess(figure, 0.9 * now!));
  // With an octave more between them the two would sound as they do when it is written so; alone one is left.
  const rough = (...pitches: readonly number[]) =>
    roughBars(smallScore(pitches.map((p) => oboe(bar(0, p))), { bars: 1 }))[0]!.roughness!;
  assert(remedy.includes(`oboe 2 an octave up ${rough(71, 84).toFixed(2)}`), remedy);
  assert(remedy.includes(`oboe 2 resting ${rough(71).toFixed(2)}`), remedy);
  const high = of([oboe(bar(0, 86)), oboe(bar(0, 87))]).remedy;
  assert(high.includes(`oboe 1 an octave down ${rough(74, 87).toFixed(2)}`), high);
  assert(!high.includes("octave up"), "above the compass");
});

Deno.test("nobody takes a note from the lead: the other moves or rests, and the parts of the clash are said", () => {
  const of = (roles: readonly Line["role"][]) => {
    const score = smallScore(roles.map((role, i) => ({ ...oboe(bar(0, 71 + i)), role })), { bars: 1 });
    const rows = roughBars(score).map((row) => ({ ...row, roughness: 0.6 }));
    return roughWarnings(score, rows, { texture: textureOf(score), most: 1 })[0]!;
  };
  const above = of(["pad", "lead"]);
  assert(above.remedy.includes("oboe 1 resting") && !above.remedy.includes("oboe 2"), above.remedy);
  const below = of(["lead", "pad"]);
  assert(below.remedy.includes("oboe 2 an octave up") && !below.remedy.includes("oboe 1"), below.remedy);
  const both = of(["lead", "lead"]);
  assert(both.remedy.startsWith("It is a note of the lead against"), both.remedy);
  for (const { parts } of [above, below, both]) assertEquals(parts, [0, 1]);
});

/** What is said of notes that sound together, given as instrument, pitch and dynamic. */
function saidOf(...notes: readonly (readonly [instrument: string, pitch: number, dynamic?: number])[]) {
  const score = smallScore(
    notes.map(([instrument, pitch, dynamic = 5]) => ({
      ...oboe({ ...bar(0, pitch), dynamic }),
      instrument,
    })),
    { bars: 1 },
  );
  const [row] = roughBars(score);
  const [warning] = roughWarnings(score, [{ ...row!, roughness: 0.6 }], {
    texture: textureOf(score),
    most: 1,
  });
  return { rough: row!.roughness!, ...warning! };
}

Deno.test("where no two pitches rub nobody is named, and there is nothing to be done", () => {
  // All partials of the two lie octaves and more apart, far beyond a critical band.
  const { rough, what, remedy } = saidOf(["flute", 84], ["flute", 96]);
  assertEquals(rough, 0);
  assert(!what.includes("between"), what);
  assertEquals(remedy, "If the clash is meant, let it stand");
});

Deno.test("a loud low note that is rough by itself is no clash with a soft one far below", () => {
  const { what } = saidOf(["tuba", 28, 3], ["bass trombone", 43, 8], ["flute", 72, 7], ["flute", 73, 7]);
  assert(what.endsWith("between bass trombone 2 (G2) and flute 4 (C#5)"), what);
  const high = saidOf(["bass trombone", 36], ["flute", 84, 8], ["flute", 85, 8]).what;
  assert(high.endsWith("between flute 2 (C6) and flute 3 (C#6)"), high);
});

Deno.test("of many on one pitch two are named and the others counted", () => {
  const one = ["flute", "oboe", "clarinet in Bb", "trumpet in C"].map((id) => [id, 72] as const);
  const { what } = saidOf(...one, ["violin", 73]);
  assert(what.includes("flute 1, oboe 2 and 2 more (C5) and violin 5 (C#5)"), what);
});

Deno.test("a way out that takes less than a tenth of the roughness is not told", () => {
  const notes = [60, 61, 67, 68, 74, 75].map((pitch) => ["oboe", pitch] as const);
  const { rough, remedy } = saidOf(...notes);
  // An octave up the C sharp would rub against the D instead.
  const moved = saidOf(...notes.map(([id, pitch]) => [id, pitch === 61 ? 73 : pitch] as const)).rough;
  assert(moved < rough && moved > 0.9 * rough);
  assert(!remedy.includes("octave") && remedy.includes("oboe 2 resting"), remedy);
});
