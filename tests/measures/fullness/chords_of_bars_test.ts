/** What chord stands when, and what is said of bars that want something, worked out by hand. */
import { assertAlmostEquals, assertEquals } from "@std/assert";
import { fullness } from "ripieno/measures";
import type { Score } from "ripieno/score";
import { chordsOfBars } from "../../../lib/measures/fullness/chords_of_bars.ts";
import { notesInBars } from "../../../lib/measures/notes_in_bars.ts";
import { type Line, type LineNote, smallScore, type SmallScoreOptions } from "../small_scores.ts";

const NAMES = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
const chord = (at: number, quarters: number, ...pitches: readonly number[]): readonly LineNote[] =>
  pitches.map((pitch) => ({ at, quarters, pitch }));
const scoreOf = (notes: readonly LineNote[], options: SmallScoreOptions = {}): Score =>
  smallScore([{ instrument: "organ", role: "pad", notes }], options);

/** Chords of each bar as `beat: root third`, by symbols at quarters or off the notes. */
function read(score: Score, symbols: Readonly<Record<number, string>> = {}) {
  const given = Object.entries(symbols).map(([at, symbol]) => ({
    onsetTicks: Number(at) * score.ticksPerQuarter,
    symbol,
  }));
  return chordsOfBars(score, given, notesInBars(score)).map((spans) =>
    spans.map(({ fromTicks, toTicks, tones }) => {
      const [from, to] = [fromTicks, toTicks].map((t) => t / score.ticksPerQuarter);
      const named = tones && [tones.root, tones.third, tones.seventh ?? []].flat().map((p) => NAMES[p]);
      return `${from}-${to} ${named?.join(" ") ?? "none"}`;
    })
  );
}

Deno.test("chord symbols hold until the next, over bar lines; before the first, and without a third, there is none", () => {
  const score = scoreOf([], { bars: 4 });
  assertEquals(read(score, { 2: "C", 10: "G7", 11: "N.C.", 12: "C5" }), [
    ["2-4 C E"],
    ["4-8 C E"],
    ["8-10 C E", "10-11 G B F", "11-12 none"],
    ["12-16 none"],
  ]);
  assertEquals(read(score, { 0: "Csus4", 4: "C6", 8: "Cdim7", 12: "Ebm9" }), [
    ["0-4 none"],
    ["4-8 C E"],
    ["8-12 C Eb A"],
    ["12-16 Eb F# Db"],
  ]);
  assertEquals(read(score, { 4: "Am", 8: "Dm7" }), [[], ["4-8 A C"], ["8-12 D F C"], ["12-16 D F C"]]);
});

Deno.test("without symbols each half of a bar has its triad; bars of two or of odd beats have one", () => {
  const halves = (beats: number, beatUnit: number) => {
    const length = beats * 4 / beatUnit;
    const notes = [...chord(0, length / 2, 48, 64, 67), ...chord(length / 2, length / 2, 43, 59, 62)];
    return read(scoreOf(notes, { bars: 1, beats, beatUnit }))[0]!;
  };
  assertEquals(halves(4, 4), ["0-2 C E", "2-4 G B"]);
  assertEquals(halves(6, 8), ["0-1.5 C E", "1.5-3 G B"]);
  assertEquals([halves(2, 4).length, halves(3, 4).length, halves(5, 4).length], [1, 1, 1]);
  assertEquals(read(scoreOf([], { bars: 1 })), [["0-2 none", "2-4 none"]]);
});

Deno.test("a triad is read by lengths: the root counts more than its other tones, in the bass most", () => {
  const first = (...notes: readonly LineNote[]) =>
    read(scoreOf(notes, { bars: 1, beats: 3 }))[0]![0]!.slice(4);
  // C, E, G and A all along: by the bass C major (1.5 + 1 + 1) or A minor (1.5 + 1 + 1), not the other (1.1 + 1 + 1).
  assertEquals(first(...chord(0, 3, 48, 64, 67, 69)), "C E");
  assertEquals(first(...chord(0, 3, 45, 64, 67, 60)), "A C");
  // Over E the one with more of its tones: of G against A, two quarters against three.
  assertEquals(first(...chord(0, 3, 52, 60, 69), ...chord(0, 2, 67)), "A C");
  assertEquals(first(...chord(0, 3, 52, 60, 67), ...chord(0, 2, 69)), "C E");
  // A minor by 1.1 + 1 + 1 on E in the bass, though the C is longer than the A: 1.1 · 2 + 3 + 3 against 1.1 · 3 + 3 + 1.
  assertEquals(first(...chord(0, 3, 52, 60), ...chord(0, 2, 69), ...chord(2, 1, 67)), "A C");
  assertEquals(first(...chord(0, 3, 59, 62, 65)), "B D", "diminished");
  assertEquals(first(...chord(0, 3, 50, 59, 65)), "B D", "diminished, not D minor without its fifth");
  assertEquals(first(...chord(0, 3, 57, 60, 64)), "A C", "minor");
  assertEquals(first(...chord(0, 3, 60, 64)), "C E", "without its fifth");
  // What is held into a half counts there, what has ended does not.
  const held = scoreOf([...chord(0, 3.5, 48, 64, 67), ...chord(3.5, 0.5, 43, 59, 62)], { bars: 1 });
  assertEquals(read(held), [["0-2 C E", "2-4 C E"]]);
  // The second half alone is C, E, G and A over C; a tick of A below is its bass, one that ends with the first is not.
  const halves = (quarters: number) =>
    read(scoreOf([...chord(0, quarters, 45), ...chord(2, 2, 60, 64, 67, 69)], { bars: 1 }))[0]![1];
  assertEquals([halves(2), halves(2 + 1 / 96)], ["2-4 C E", "2-4 A C"]);
  assertEquals(first(...chord(0, 3, 52, 60, 67, 69)), "C E", "C major and A minor are worth the same over E");
  assertEquals(first(...chord(0, 1 / 96, 57, 60, 64)), "A C", "a tick is enough");
});

const pad = (...bars: readonly (readonly number[])[]): Line => ({
  instrument: "organ",
  role: "pad",
  layer: "pad",
  notes: bars.flatMap((pitches, b) => chord(4 * b, 4, ...pitches)),
});
const tune = (bars: number): Line => ({
  instrument: "flute",
  role: "lead",
  layer: "lead",
  notes: Array.from({ length: bars }, (_, b) => ({ at: 4 * b, quarters: 4, pitch: 84 })),
});

Deno.test("what bars want is counted in words, with the first of them", () => {
  const score = smallScore([tune(5), pad([48, 55, 60, 64], [], [48, 55, 60], [36, 56, 60, 64], [48, 55])], {
    bars: 6,
  });
  const { description, perBar, whole } = fullness({ ...score, chords: [{ onsetTicks: 0, symbol: "C" }] });
  assertEquals(description, [
    "Nothing sounds beside the lead in 1 bar, first in bar 2.",
    "The chord wants its third outside the lead in 2 bars, first in bar 3.",
    "A hole wider than a twelfth stands in 1 bar, first in bar 4 (20 semitones).",
  ]);
  assertEquals(perBar.map((b) => b.completeness), [1, null, 0.5, 1, 0.5, null]);
  // Means are over the five bars in which something sounds.
  assertAlmostEquals(whole.fullness, (1 + 0 + 0.5 + 19 / 20 + 0.5) / 5, 1e-12);
  assertAlmostEquals(whole.completeness!, (1 + 0.5 + 1 + 0.5) / 4, 1e-12);
  assertAlmostEquals(whole.players, (2 + 1 + 2 + 2 + 2) / 5, 1e-12);
});

Deno.test("each beat has the chord that begins with it or holds; a chord under which nobody plays wants all of its tones", () => {
  const bar = (notes: readonly LineNote[]) => {
    const score = scoreOf(notes, { bars: 1 });
    const chords = [{ onsetTicks: 0, symbol: "C" }, { onsetTicks: 2 * score.ticksPerQuarter, symbol: "G" }];
    return fullness({ ...score, chords }).perBar[0]!;
  };
  const bare = bar([...chord(0, 2, 48, 52, 55), ...chord(2, 2, 43, 50)]);
  assertEquals([bare.fullness, bare.completeness, bare.missing], [(1 + 1 + 0.5 + 0.5) / 4, 0.75, "third"]);
  const silent = bar(chord(0, 2, 48, 52, 55));
  assertEquals([silent.fullness, silent.completeness], [0.5, 0.5]);
  const score = scoreOf(chord(0, 4, 41, 60, 64), { bars: 1 });
  const twelfth = fullness({ ...score, chords: [{ onsetTicks: 0, symbol: "F" }] });
  assertEquals([twelfth.perBar[0]!.widestGap, twelfth.description.filter((d) => d.includes("hole"))], [
    19,
    [],
  ]);
  const empty = { ...score, bars: [{ ...score.bars[0]!, durationTicks: 0 }, ...score.bars] };
  assertEquals(fullness(empty).perBar[0]!.fullness, 0);
});

Deno.test("a note counts in the beats in which it sounds, to its end and no longer; C3 is not low, C5 is high", () => {
  const score = smallScore([{
    instrument: "organ",
    role: "pad",
    layer: "pad",
    notes: [...chord(0, 2, 48, 52, 55), ...chord(3, 1, 47, 72, 71)],
  }], { bars: 1 });
  const bar = fullness({ ...score, chords: [{ onsetTicks: 0, symbol: "C" }] }).perBar[0]!;
  // Full for two beats, silent for one; then neither root nor third, with 24 semitones over the bass.
  assertEquals(bar.missing, "");
  assertAlmostEquals(bar.fullness, (1 + 1 + 0 + 19 / 24) / 4, 1e-12);
  assertEquals(bar.players, 3 / 4);
  assertEquals([bar.widestGap, bar.gapFrom], [24, 47], "of all beats the widest");
  // By length: six quarters of chord, three of the last; B2 is low, C5 is high.
  assertAlmostEquals(bar.lowShare!, 1 / 9, 1e-12);
  assertAlmostEquals(bar.highShare!, 1 / 9, 1e-12);
});

Deno.test("a bar before the first chord, or without one, wants none of its tones; the leading note is that of the signature", () => {
  const score = scoreOf([...chord(0, 4, 48, 55), ...chord(4, 4, 50, 54, 57)], { bars: 3 });
  const at = (quarters: number, symbol: string) => ({ onsetTicks: quarters * score.ticksPerQuarter, symbol });
  const bars = (fifths: number, ...chords: readonly ReturnType<typeof at>[]) =>
    fullness({ ...score, bars: score.bars.map((bar) => ({ ...bar, keyFifths: fifths })), chords }).perBar;
  assertEquals(bars(0, at(4, "D"))[0]!.fullness, 1);
  const [none, dominant, silent] = bars(1, at(0, "N.C."), at(4, "D"));
  assertEquals([none!.fullness, none!.completeness, none!.missing], [1, 1, ""]);
  // D major leads to G, one sharp; of the tonic, or a fifth further on, it has no leading note.
  assertAlmostEquals(dominant!.leadingNoteShare!, 1 / 3, 1e-12);
  assertEquals([2, 3, -1].map((fifths) => bars(fifths, at(4, "D"))[1]!.leadingNoteShare), [null, null, null]);
  assertEquals(silent, {
    barIndex: 2,
    bar: "3",
    onsetSeconds: 4,
    fullness: 0,
    completeness: null,
    missing: "",
    spacing: null,
    widestGap: null,
    gapFrom: null,
    thirdShare: null,
    leadingNoteShare: null,
    lowShare: null,
    highShare: null,
    players: 0,
  });
});

Deno.test("a single note of a tick counts; of equal gaps the lowest, and the first, is told", () => {
  const of = (...notes: readonly LineNote[]) => {
    const score = scoreOf(notes, { bars: 1 });
    return fullness({ ...score, chords: [{ onsetTicks: 0, symbol: "C" }] }).perBar[0]!;
  };
  const tick = of(...chord(0, 1 / 96, 36));
  assertEquals([tick.fullness, tick.completeness, tick.spacing], [0.5 / 4, 0.5, 1]);
  assertEquals([tick.lowShare, tick.highShare, tick.widestGap, tick.gapFrom], [1, 0, null, null]);
  const equal = of(...chord(0, 1, 48, 53, 58), ...chord(1, 1, 50, 55), ...chord(2, 1, 52, 55));
  assertEquals([equal.widestGap, equal.gapFrom], [5, 48]);
});
