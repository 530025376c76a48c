/** Worked examples of four-part writing, each marked by hand as a teacher would. Common practice, no source. */
import { assertAlmostEquals, assertEquals, assertGreater } from "@std/assert";
import { voiceLeading, type VoiceLeadingOptions } from "ripieno/measures";
import { textureOf } from "ripieno";
import type { Score } from "ripieno/score";
import { type Line, smallScore } from "../small_scores.ts";

type Voice = readonly [instrument: string, ...pitches: readonly (number | readonly number[] | null)[]];

interface Setting {
  readonly pad: readonly Voice[];
  readonly bass?: Voice;
  readonly lead?: Voice;
  /** Chord symbols, one for each bar. */
  readonly symbols?: string;
  /** Length of each note in quarters; a whole bar unless told otherwise. */
  readonly quarters?: number;
}

function lineOf(role: Line["role"], quarters: number, [instrument, ...steps]: Voice): Line {
  const notes = steps.flatMap((step, i) =>
    (step === null ? [] : [step].flat()).map((pitch) => ({ at: quarters * i, quarters, pitch }))
  );
  return { instrument, role, layer: role, notes };
}

function scoreOf({ pad, bass, lead, symbols = "", quarters = 4 }: Setting): Score {
  const lines = [
    ...lead ? [lineOf("lead", quarters, lead)] : [],
    ...pad.map((voice) => lineOf("pad", quarters, voice)),
    ...bass ? [lineOf("bass", quarters, bass)] : [],
  ];
  const ends = lines.flatMap((l) => l.notes.map((n) => n.at + n.quarters));
  const score = smallScore(lines, { bars: Math.ceil(Math.max(...ends) / 4) });
  const chords = symbols.split(" ").filter((s) => s !== "")
    .map((symbol, bar) => ({ onsetTicks: score.bars[bar]!.startTicks, symbol }));
  return { ...score, chords };
}

const rowsOf = (setting: Setting, options: VoiceLeadingOptions = {}) =>
  voiceLeading(scoreOf(setting), options);
const [HORN, CLARINET] = ["horn in F", "clarinet in Bb"];
const marks = (setting: Setting, options: VoiceLeadingOptions = {}) =>
  rowsOf(setting, options).map((r) => `${r.bar}:${r.beat} ${r.kind}: ${r.parts}`);

Deno.test("voiceLeading() marks fifths and octaves where two voices of a choir move alike, and nowhere else", () => {
  const of = (...pad: readonly Voice[]) => marks({ pad });
  const [high, low]: readonly Voice[] = [[HORN, 67, 69], [HORN, 60, 62]];
  assertEquals(of(high!, [HORN, 64, 65], low!), ["2:1 parallel fifths: horn in F 1 and horn in F 3"]);
  assertEquals(of([HORN, 67, 81], low!), ["2:1 parallel fifths: horn in F 1–2"], "to a twelfth");
  assertEquals(of([HORN, 67, 60], [HORN, 60, 53]), ["2:1 parallel fifths: horn in F 1–2"], "downwards");
  assertEquals(of([HORN, 67, 74], [HORN, 60, 55]), [], "in contrary motion");
  assertEquals(of([HORN, 72, 74], low!), [], "in octaves throughout, which double");
  assertEquals(of([HORN, 64, 72, 74, 71], [HORN, 60, 60, 62, 67]), ["3:1 parallel octaves: horn in F 1–2"]);
  const [up, down] = [[64, 65, 64, 60, 62], [60, 62, 60, 60, 74]];
  for (const [first, second] of [[up!, down!], [down!, up!]]) {
    const found = of([HORN, ...first!], [HORN, ...second!]);
    assertEquals(found, ["5:1 parallel octaves: horn in F 1–2"], "from a unison to an octave");
  }
  assertEquals(of([HORN, 67, 67], [HORN, 60, 60]), [], "kept");
  assertEquals(of([HORN, 68, 70], low!), [], "sixths");
  assertEquals(of([HORN, 67, 69], [HORN, 60, 60]), [], "one stays");
  assertEquals(of([HORN, 67, null], [HORN, null, 62]), [], "never together");
  assertEquals(of(["organ", [60, 67], [62, 69]]), ["2:1 parallel fifths: organ 1"], "in one part");
});

Deno.test("voiceLeading() goes by the layers of each bar where none are written", () => {
  const score = scoreOf({ pad: [[HORN, 69, 67, 69], [HORN, 65, 60, 62], [HORN, 60, 55, 57]] });
  const texture = textureOf(score);
  assertEquals(texture.origin, "written");
  const read = voiceLeading(score, { texture: { ...texture, origin: "recognised" } });
  assertEquals(read, voiceLeading(score));
  assertEquals(read.map((r) => `${r.bar} ${r.kind}`).filter((r) => r.includes("fifths")), [
    "3 parallel fifths",
  ]);
});

Deno.test("voiceLeading() counts three of a family as a choir of their own, two as part of the rest", () => {
  const [clarinet, horn, other]: readonly Voice[] = [[CLARINET, 67, 69], [HORN, 60, 62], [HORN, 64, 62]];
  assertEquals(marks({ pad: [clarinet!, horn!, other!] }), [
    "2:1 parallel fifths: clarinet in Bb 1 and horn in F 2",
  ]);
  assertEquals(marks({ pad: [clarinet!, horn!, other!, [HORN, 57, 60]] }), []);
});

Deno.test("voiceLeading() takes octaves for a doubling where they are more than half of the moments", () => {
  const of = (...lower: readonly number[]) => marks({ pad: [[HORN, 72, 74, 76, 77], [HORN, ...lower]] });
  assertEquals(of(60, 62, 67, 69), ["2:1 parallel octaves: horn in F 1–2"], "two of four");
  assertEquals(of(60, 62, 64, 69), [], "three of four");
  const brief = marks({ pad: [[HORN, 72, 74, 76, 77, 79], [HORN, 60, 62, null, null, null]] });
  assertEquals(brief, [], "all of those in which both sound");
});

Deno.test("voiceLeading() holds pads against basses, not against what else sounds", () => {
  const pad: readonly Voice[] = [[HORN, 67, 69], [HORN, 64, 60]];
  const below: Voice = ["cello", 48, 50];
  assertEquals(marks({ pad, bass: below }), ["2:1 parallel fifths: horn in F 1 and cello 3"]);
  assertEquals(marks({ pad, lead: below }), []);
});

Deno.test("voiceLeading() follows a bass that moves under held notes", () => {
  const of = (...bass: readonly number[]) => {
    const pad = [[67, 69], [64, 60]].map((pitches) => lineOf("pad", 4, [HORN, ...pitches]));
    return voiceLeading(smallScore([...pad, lineOf("bass", 2, ["cello", ...bass])])).map((r) => r.bar);
  };
  assertEquals(of(47, 48, 50, 50), ["2"], "a fifth before, a fifth after");
  assertEquals(of(48, 47, 50, 50), [], "the fifth was left before");
});

Deno.test("voiceLeading() names the beat, and joins places by how many bars lie between", () => {
  const alike = (...up: readonly number[]): Setting => ({
    pad: [[HORN, ...up.map((p) => p + 7)], [HORN, ...up]],
  });
  assertEquals(marks({ ...alike(60, 62), quarters: 2 }), ["1:3 parallel fifths: horn in F 1–2"]);
  const near = rowsOf(alike(60, 62, 64));
  assertEquals(near.map((r) => [r.places, r.fromBarIndex, r.toBarIndex]), [[2, 1, 2]]);
  const far = alike(60, 62, 62, 64);
  assertEquals(rowsOf(far).map((r) => r.bar), ["2", "4"], "of equal weight, the earlier first");
  assertEquals(rowsOf(far, { constants: { gapBars: 2 } }).map((r) => [r.bar, r.places]), [["2", 2]]);
  assertAlmostEquals(near[0]!.weight, 2 * rowsOf(far)[0]!.weight, 1e-12);
});

Deno.test("voiceLeading() weighs octaves above fifths (Huron 2001, rule D9), and holes by their octaves", () => {
  const of = (interval: number) =>
    rowsOf({ pad: [[HORN, 60 + interval, 62 + interval, 72, 69], [HORN, 60, 62, 64, 65]] })[0]!.weight;
  assertGreater(of(12), of(7));
  // A doubled leading note leads to octaves, a doubled seventh is often written.
  const twice = (low: number) => rowsOf({ pad: [[HORN, low + 12], [HORN, low]], symbols: "G7" });
  const weightOf = (low: number) => twice(low).find((r) => r.kind.startsWith("doubled"))!.weight;
  assertGreater(weightOf(59), weightOf(53));
  const hole = (apart: number) =>
    rowsOf({ pad: [[HORN, 52 + apart], [HORN, 52], [HORN, 48]], bass: ["tuba", 40] })[0]!.weight;
  assertAlmostEquals(hole(41) - hole(29), hole(29) - hole(17), 1e-12);
  assertAlmostEquals(hole(29) - hole(17), 1, 1e-12);
  // Each by its own limit: a semitone beyond a twelfth over the bass, beyond a tenth elsewhere.
  const overBass = rowsOf({ pad: [[HORN, 68], [HORN, 64], [HORN, 60]], bass: ["tuba", 40] })[0]!.weight;
  assertAlmostEquals(overBass, 1 + 1 / 12, 1e-12);
  assertAlmostEquals(hole(17), 1 + 1 / 12, 1e-12);
});

Deno.test("voiceLeading() marks a hole above a twelfth over the bass and a tenth elsewhere", () => {
  const over = (semitones: number, setting: Partial<Setting> = {}) => {
    const low = 36 + semitones;
    return marks({ pad: [[HORN, low + 8], [HORN, low + 4], [HORN, low]], bass: ["tuba", 36], ...setting });
  };
  assertEquals(over(19), []);
  assertEquals(over(20), ["1:1 hole: horn in F 3 and tuba 4"]);
  assertEquals(over(20, { lead: ["bassoon", 45] }), [], "filled by another");
  assertEquals(over(20, { pad: [[HORN, 60], [HORN, 56]] }), [], "two voices");
  assertEquals(over(16, { lead: ["flute", 84] }), [], "above the pad");
  const apart = (semitones: number) =>
    marks({ pad: [[HORN, 52 + semitones], [HORN, 52], [HORN, 48]], bass: ["tuba", 40] });
  assertEquals(apart(16), []);
  assertEquals(apart(17), ["1:1 hole: horn in F 1–2"]);
});

Deno.test("voiceLeading() tells the widest of the holes of a row, of equal ones the first", () => {
  const what = (...tops: readonly number[]) =>
    rowsOf({
      pad: [[HORN, ...tops], [HORN, 52, 53], [HORN, 48, 48]],
      bass: ["tuba", 40, 40],
    })[0]!.what;
  assertEquals(what(72, 73), "nothing between E3 and C5, 20 semitones");
  assertEquals(what(72, 74), "nothing between F3 and D5, 21 semitones");
});

Deno.test("voiceLeading() misses the third where none of all that sounds has it", () => {
  const of = (symbols: string, more: Partial<Setting> = {}) =>
    rowsOf({ pad: [[HORN, 67], [HORN, 60]], bass: ["tuba", 48], symbols, ...more }).map((r) => r.what);
  assertEquals(of("C"), ["no E, the third of the chord"]);
  assertEquals(of("Cm"), ["no Eb, the third of the chord"]);
  assertEquals(of("F", { pad: [[HORN, 65], [HORN, 60]] }), ["no A, the third of the chord"]);
  assertEquals(of("A", { pad: [[HORN, 57], [HORN, 52]] }), ["no C#, the third of the chord"]);
  assertEquals(of("Csus4"), [], "a chord without one");
  assertEquals(of("C", { lead: ["flute", 88] }), [], "the tune has it");
  assertEquals(of("Cm", { lead: ["flute", 88] }), ["no Eb, the third of the chord"]);
  assertEquals(of("C", { pad: [[HORN, 67]] }), [], "one voice is no chord");
  const ended = marks({ pad: [[HORN, 67, 67], [HORN, 60, 60]], lead: ["flute", 76, 74], symbols: "C C" });
  assertEquals(ended, ["2:1 no third: horn in F 2–3"], "the tune has left it");
});

Deno.test("voiceLeading() marks leading notes and sevenths of a dominant that a choir has twice", () => {
  const of = (symbols: string, pad: readonly Voice[], bass?: number) =>
    rowsOf({ pad, symbols, ...bass ? { bass: ["tuba", bass] } : {} }).map((r) => `${r.kind}: ${r.what}`);
  const leading: readonly Voice[] = [[HORN, 71], [HORN, 65], [HORN, 59]];
  assertEquals(of("G7", leading), [
    "doubled leading note: B, the leading note, in 2 voices of a choir",
  ]);
  assertEquals(of("G7", [[HORN, 65], [HORN, 59], [HORN, 53]]), [
    "doubled seventh: F, the seventh, in 2 voices of a choir",
  ]);
  assertEquals(of("Gmaj7", leading), [], "no dominant");
  assertEquals(of("Gm7", [[HORN, 70], [HORN, 65], [HORN, 58]]), [], "no dominant");
  assertEquals(of("G7", [[HORN, 65], [HORN, 62], [HORN, 59]], 47), [], "once, and in the bass");
  assertEquals(of("G7", [[CLARINET, 71], [HORN, 65], [HORN, 62], [HORN, 59]]), [], "once in each choir");
});

Deno.test("voiceLeading() marks leading notes and sevenths that are left, where the next chord has their aim", () => {
  const of = (symbols: string, from: number, to: number, role: "pad" | "bass" = "pad") => {
    const own: Voice = [HORN, from, to];
    const still: Voice = [HORN, 67, 67];
    const setting = role === "pad" ? { pad: [own, still] } : { pad: [still], bass: own };
    return marks({ ...setting, symbols }).filter((m) => m.includes("left"));
  };
  const [leading, seventh] = ["leading note", "seventh"].map((k) => [`2:1 ${k} left: horn in F 1`]);
  assertEquals(of("G7 C", 59, 60), [], "rises");
  assertEquals(of("G7 C", 59, 55), leading!);
  assertEquals(of("G7 C", 59, 58), leading!);
  assertEquals(of("G7 C", 59, 59), [], "stays");
  assertEquals(of("G7 Em", 59, 55), [], "the next chord has no C");
  assertEquals(of("G7 C", 59, 55, "bass"), [], "basses leap");
  assertEquals(of("G7 C", 65, 64), [], "falls by a semitone");
  assertEquals(of("G7 Cm", 65, 63), [], "falls by a tone");
  assertEquals(of("G7 C", 65, 67), seventh!);
  assertEquals(of("G7 C", 65, 60), seventh!);
  assertEquals(of("D7 G", 60, 62), seventh!, "over the C below");
  assertEquals(of("G7 D", 65, 66), [], "the next chord has neither E nor Eb");
  assertEquals(of("Gmaj7 C", 66, 67), [], "no dominant");
  const within = marks({ pad: [[HORN, 59, 55], [HORN, 67, 67]], symbols: "G7", quarters: 2 });
  assertEquals(within.filter((m) => m.includes("left")), [], "the chord has not changed");
});

Deno.test("voiceLeading() looks at each pad over its own bars alone", () => {
  const score = scoreOf({ pad: [[HORN, 67, 69, 71, 69], [HORN, 60, 62, 64, 62]] });
  const [pad] = score.layers!;
  const layers = [{ ...pad!, toBarIndex: 1 }, { ...pad!, fromBarIndex: 2, toBarIndex: 3 }];
  const rows = voiceLeading({ ...score, layers });
  assertEquals(rows.reduce((sum, r) => sum + r.places, 0), 2);
  assertEquals(voiceLeading(score).map((r) => [r.bar, r.places]), [["2", 3]]);
});

Deno.test("voiceLeading() tells what begins at one moment from the top down, whoever comes in first, and pads in any order", () => {
  const late = scoreOf({
    pad: [[HORN, null, 76, 77], [HORN, null, 69, 70], [HORN, 62, 62, 64], [HORN, 55, 55, 57]],
  });
  assertEquals(voiceLeading(late).map((r) => r.parts), ["horn in F 1–2", "horn in F 3–4"]);
  const score = scoreOf({ pad: [[HORN, 67, 69, 71, 69], [HORN, 60, 62, 64, 62]] });
  const [pad] = score.layers!;
  const layers = [{ ...pad!, fromBarIndex: 2, toBarIndex: 3 }, { ...pad!, toBarIndex: 1 }];
  assertEquals(voiceLeading({ ...score, layers }).map((r) => [r.bar, r.places]), [["2", 1], ["4", 1]]);
});

Deno.test("voiceLeading() lets cellos and basses double a leading note, and takes an empty chord for as grave as octaves", () => {
  const lines = [
    ...[[HORN, 65], [HORN, 62]].map(([id, pitch]) => lineOf("pad", 4, [String(id), Number(pitch)])),
    lineOf("bass", 4, ["cello", 47]),
    lineOf("bass", 4, ["double bass", 35]),
  ];
  const score = smallScore(lines, { bars: 1 });
  assertEquals(voiceLeading({ ...score, chords: [{ onsetTicks: 0, symbol: "G7" }] }), []);
  const [empty] = rowsOf({ pad: [[HORN, 67], [HORN, 60]], bass: ["tuba", 48], symbols: "C" });
  const octaves = rowsOf({ pad: [[HORN, 72, 74, 72, 69], [HORN, 60, 62, 64, 65]] })
    .find((r) => r.kind === "parallel octaves");
  assertEquals([empty!.kind, empty!.weight], ["no third", octaves!.weight]);
});
