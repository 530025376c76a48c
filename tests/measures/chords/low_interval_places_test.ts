/** Low intervals named, gathered and answered as worked out by hand. */
import { assert, assertEquals } from "@std/assert";
import { lowIntervals, type LowIntervalsOptions } from "ripieno/measures";
import { pitchOf, type Score } from "ripieno/score";
import { lowIntervalWarnings } from "../../../lib/measures/chords/low_interval_warnings.ts";
import { type LineNote, smallScore } from "../small_scores.ts";

/** A note by its name, spelt so. */
function named(name: string, at = 0, quarters = 4): LineNote {
  const [, step, sign, octave] = /^([A-G])(#*|b*)(\d)$/.exec(name)!;
  const alter = sign!.startsWith("b") ? -sign!.length : sign!.length;
  return {
    at,
    quarters,
    pitch: pitchOf(`${step}${octave}`)! + alter,
    spelling: { step: step!, alter, octave: Number(octave) },
  };
}

/** Cello below, bassoon above, at 120 quarters a minute. */
function pairOf(low: readonly LineNote[], high: readonly LineNote[], bars = 6): Score {
  return smallScore([
    { instrument: "cello", role: "pad", notes: low },
    { instrument: "bassoon", role: "pad", notes: high },
  ], { bars });
}

const rowsOf = (low: readonly LineNote[], high: readonly LineNote[], options: LowIntervalsOptions = {}) =>
  lowIntervals(pairOf(low, high), options);

Deno.test("lowIntervals() calls intervals as theory does, by letters and semitones", () => {
  for (
    const [low, high, name] of [
      ["C2", "C#2", "augmented unison"],
      ["C2", "Db2", "minor second"],
      ["C2", "D2", "major second"],
      ["C2", "D#2", "augmented second"],
      ["C2", "Ebb2", "diminished third"],
      ["B1", "D2", "minor third"],
      ["C2", "E2", "major third"],
      ["C2", "Fb2", "diminished fourth"],
      ["C2", "F2", "fourth"],
      ["C1", "F#1", "tritone"],
      ["C1", "Gb1", "tritone"],
      ["C1", "G1", "fifth"],
      ["C2", "G#2", "augmented fifth"],
      ["C1", "Abb1", "diminished sixth"],
      ["C2", "Ab2", "minor sixth"],
      ["C2", "A2", "major sixth"],
      ["C2", "Bbb2", "diminished seventh"],
      ["C2", "Bb2", "minor seventh"],
      ["C2", "B2", "major seventh"],
      ["C2", "Cb3", "diminished octave"],
    ] as const
  ) {
    assertEquals(rowsOf([named(low)], [named(high)]).map((r) => r.interval), [`${name} ${low}–${high}`]);
  }
  assertEquals(rowsOf([named("C1")], [named("F##1")])[0]!.interval, "interval of 7 semitones C1–Fx1");
});

Deno.test("lowIntervals() rounds to the nearest semitone, and lets pass what is further apart than an octave", () => {
  const bent = (pitch: number): LineNote => ({ at: 0, quarters: 4, pitch });
  const [row] = rowsOf([bent(39.6)], [bent(43.4)]);
  assertEquals([row!.lowerPitch, row!.upperPitch, row!.semitones], [40, 43, 3]);
  assertEquals(rowsOf([bent(30)], [bent(42)]), []);
});

Deno.test("lowIntervals() needs half a second, as long as the same two parts hold the same two notes", () => {
  const of = (quarters: number) => rowsOf([named("E2", 0, quarters)], [named("G2", 0, quarters)]);
  assertEquals(of(1).map((r) => r.seconds), [0.5]);
  assertEquals(of(0.9), []);
  // A third part that enters above changes nothing between the two.
  const score = smallScore([
    { instrument: "cello", role: "pad", notes: [named("E2", 0, 1)] },
    { instrument: "bassoon", role: "pad", notes: [named("G2", 0, 1)] },
    { instrument: "horn in F", role: "pad", notes: [named("G4", 0.5, 1)] },
  ]);
  assertEquals(lowIntervals(score).map((r) => [r.places, r.seconds]), [[1, 0.5]]);
  const late = rowsOf([named("E2", 0, 4)], [named("G2", 1, 2)]);
  assertEquals(late.map((r) => [r.beat, r.seconds]), [[2, 1]], "from where both sound to where one ends");
});

Deno.test("lowIntervals() gathers places of the same parts up to a bar apart, and shows the deepest", () => {
  const of = (at: number, options: LowIntervalsOptions = {}) =>
    rowsOf([named("F2"), named("D2", at)], [named("A2"), named("F2", at)], options);
  // F2-A2 lies 6 below the limit of a major third (B2), D2-F2 10 below that of a minor third (C3).
  const [row, ...more] = of(4);
  assertEquals(more, []);
  assertEquals([row!.places, row!.interval, row!.limitPitch, row!.below], [2, "minor third D2–F2", 48, 10]);
  assertEquals([row!.fromBarIndex, row!.toBarIndex, row!.seconds], [0, 1, 4]);
  assertEquals(of(8).map((r) => r.bar), ["1", "3"], "an empty bar between");
  assertEquals(of(8, { constants: { gapBars: 2 } }).length, 1);
  const lasting = (quarters: number) =>
    rowsOf([named("F2", 12, quarters)], [named("A2", 12, quarters)], { constants: { leastSeconds: 1 } })
      .length;
  assertEquals([lasting(1), lasting(2)], [0, 1], "half a second is too short, wherever it stands");
  const late = (...names: readonly string[]) => names.map((name, i) => named(name, 12 + 4 * i));
  assertEquals(
    rowsOf(late("F2", "D2"), late("A2", "F2")).map((r) => [r.bar, r.places]),
    [["4", 2]],
    "anywhere",
  );
});

Deno.test("lowIntervals() of some bars are those of the whole, cut at the bar lines", () => {
  const low = [named("E2", 2, 8)], high = [named("G2", 2, 8)];
  assertEquals(rowsOf(low, high).map((r) => [r.bar, r.beat, r.seconds]), [["1", 3, 4]]);
  const middle = rowsOf(low, high, { fromBarIndex: 1, toBarIndex: 1 });
  assertEquals(middle.map((r) => [r.bar, r.beat, r.toBarIndex, r.seconds]), [["2", 1, 1, 2]]);
  assertEquals(rowsOf(low, high, { fromBarIndex: 3, toBarIndex: 3 }), []);
  assertEquals(lowIntervals({ ...pairOf(low, high), bars: [], notes: [] }), []);
});

Deno.test("lowIntervals() come in order of time, and of one moment the deeper first", () => {
  const score = smallScore([
    { instrument: "tuba", role: "pad", notes: [named("C2", 0, 4)] },
    { instrument: "cello", role: "pad", notes: [named("E2", 0, 8)] },
    { instrument: "bassoon", role: "pad", notes: [named("G2", 0, 8)] },
    { instrument: "bass clarinet in A", role: "pad", notes: [named("C2", 4, 4)] },
  ]);
  assertEquals(lowIntervals(score).map((r) => `${r.bar} ${r.interval}`), [
    "1 major third C2–E2",
    "1 minor third E2–G2",
    "2 major third C2–E2",
  ]);
});

const warningsOf = (score: Score, most = 9) => lowIntervalWarnings(score, lowIntervals(score), most);

Deno.test("Warnings speak of low intervals from two semitones below the limit", () => {
  const of = (low: string, high: string) => warningsOf(pairOf([named(low)], [named(high)])).length;
  assertEquals([of("B2", "D3"), of("Bb2", "Db3"), of("A2", "C3")], [0, 1, 1]);
});

Deno.test("Warnings name ways out that all who play the note have at ease", () => {
  const remedyOf = (score: Score) => warningsOf(score)[0]!.remedy;
  assertEquals(
    remedyOf(pairOf([named("E2")], [named("G2")])),
    "Open it: bassoon 2 an octave up (G3); or let the two play one note, or octaves",
  );
  // Between two semitones the nearer one is meant, here E2 and G2.
  const bent = pairOf([{ at: 0, quarters: 4, pitch: 39.6 }], [{ at: 0, quarters: 4, pitch: 42.7 }]);
  assert(remedyOf(bent).startsWith("Open it: bassoon 2 an octave up (G3)"), remedyOf(bent));
  const [twice] = warningsOf(smallScore([
    { instrument: "piano", role: "pad", notes: [named("E2", 0, 8), named("G2", 0, 8)] },
  ]));
  assertEquals(
    [twice!.what, twice!.remedy],
    [
      "a minor third E2–G2 in piano 1; the interval is clear from C3 upwards",
      "Open it: the upper note an octave up (G3), or the lower note an octave down (E1); or leave the upper note out",
    ],
  );
  // A cello's open C string has nothing below, a contrabassoon little above.
  assertEquals(
    remedyOf(smallScore([
      { instrument: "cello", role: "pad", notes: [named("C2", 0, 8)] },
      { instrument: "contrabassoon", role: "pad", notes: [named("A2", 0, 8)] },
    ])),
    "Move them apart, or let the two play one note, or octaves",
  );
});

Deno.test("Warnings of low intervals are those that are deepest times longest, in the order of the score", () => {
  // Semitones below the limit of a minor third, C3, and length in quarters, two to a second.
  const places = [["A2", "C3", 3, 4], ["Bb2", "Db3", 2, 8], ["E2", "G2", 8, 1], ["G2", "Bb2", 5, 4]] as const;
  const at = (i: number) => 12 * i;
  const score = pairOf(
    places.map(([low, , , quarters], i) => named(low, at(i), quarters)),
    places.map(([, high, , quarters], i) => named(high, at(i), quarters)),
    12,
  );
  assertEquals(lowIntervals(score).map((r) => [r.below, r.seconds]), places.map(([, , b, q]) => [b, q / 2]));
  const barsOf = (most: number) => warningsOf(score, most).map((w) => w.bar);
  assertEquals([barsOf(9), barsOf(2), barsOf(1)], [["1", "4", "7", "10"], ["4", "10"], ["10"]]);
});

Deno.test("warnings of low intervals stand in the order of bars and beats, however deep they are", () => {
  const score = pairOf([named("D2")], [named("F2")]);
  const [row] = lowIntervals(score);
  const at = (fromBarIndex: number, beat: number, below: number) => ({ ...row!, fromBarIndex, beat, below });
  const told = (most: number) =>
    lowIntervalWarnings(score, [at(1, 1, 3), at(0, 3, 5), at(0, 1, 4), at(0, 2, 2), at(0, 4, 1)], most)
      .map((w) => [w.fromBarIndex, w.beat]);
  assertEquals(told(9), [[0, 1], [0, 2], [0, 3], [1, 1]], "what lies a semitone too low is let pass");
  assertEquals(told(2), [[0, 1], [0, 3]], "the deepest");
});
