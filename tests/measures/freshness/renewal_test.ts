/** Renewal, phrases and the turns they are read from, worked out by hand from letters and single notes. */
import { assertAlmostEquals, assertEquals } from "@std/assert";
import { FRESHNESS_CONSTANTS } from "ripieno/measures";
import { phraseStarts } from "../../../lib/measures/freshness/phrases.ts";
import { phraseTurns } from "../../../lib/measures/freshness/phrase_turns.ts";
import { renewal } from "../../../lib/measures/freshness/renewal.ts";
import type { Bar } from "ripieno/score";
import { type Line, smallScore, TICKS_PER_QUARTER as QUARTER } from "../small_scores.ts";

/** What constants are unless they are given. */
const USUAL = Object.fromEntries(
  Object.entries(FRESHNESS_CONSTANTS).map(([name, { value }]) => [name, value]),
) as { readonly [K in keyof typeof FRESHNESS_CONSTANTS]: number };
const SETTINGS = { ...USUAL, halfLifeBars: 8, dialogueBars: 2 };

interface Given {
  readonly starts?: readonly number[];
  readonly fromBarIndex?: number;
  readonly turns?: Readonly<Record<number, number>>;
  readonly settings?: Partial<typeof SETTINGS>;
  /** Likeness of two letters; 0 unless they are the same. */
  readonly likeness?: number;
}

/** Renewal of bars given as letters, one for each scoring, `.` for silence. */
function of(letters: string, given: Given = {}) {
  const { starts = [0], fromBarIndex = 0, turns = {}, settings = {}, likeness = 0 } = given;
  const bars = [...letters];
  return renewal({
    fromBarIndex,
    starts,
    turns: bars.map((_, b) => turns[b] ?? 0),
    sounds: bars.map((letter) => letter !== "."),
    like: (i, j) => bars[i] === bars[j] ? 1 : likeness,
    settings: { ...SETTINGS, ...settings },
  });
}
const half = (bars: number) => 2 ** (-bars / 8);
function near(actual: readonly number[], expected: readonly number[]) {
  assertEquals(actual.length, expected.length);
  actual.forEach((value, i) => assertAlmostEquals(value, expected[i]!, 1e-12, `at ${i}`));
}

Deno.test("change at a bar line: how alike the two bars on each side are, less how alike they are across", () => {
  const changes = (letters: string, given: Given = {}) => of(letters, given).bars.map((b) => b.change);
  near(changes("AABB"), [0, 0, 1, 0]);
  near(changes("AAABC"), [0, 0, 0, 0.5, 0.5]);
  near(changes("AABB", { likeness: 0.75 }), [0, 0, 0.25, 0]);
  near(changes("ABBA", { settings: { compareBars: 1 } }), [0, 1, 0, 1]);
  // With three bars to each side one of the pairs before, and none across, is alike.
  near(changes("AABCCC", { settings: { compareBars: 3 } }).slice(3, 4), [2 / 3]);
  const isChange = (letters: string, given: Given = {}) =>
    of(letters, given).bars.flatMap((b, i) => b.isChange ? [i] : []);
  assertEquals(isChange("AABBAA"), [2, 4]);
  assertEquals(isChange("AAABC"), [4], "of two as large the later");
  assertEquals(isChange("AABB", { likeness: 0.75 }), [2], "just large enough");
  assertEquals(isChange("AABB", { likeness: 0.76 }), []);
  near(changes("ABAB", { settings: { compareBars: 1 } }), [0, 1, 1, 1]);
  for (const compareBars of [1.6, 2.4]) {
    near(changes("AAABC", { settings: { compareBars } }), [0, 0, 0, 0.5, 0.5]);
  }
  // Two thirds where it begins, a third in the bar after, which is the first that can change.
  const wide = { settings: { compareBars: 3, changeFrom: 0.1 } };
  assertEquals([isChange("...ABBC", { ...wide, fromBarIndex: 3 }), isChange("...ABBC", wide)], [[4, 6], [
    3,
    6,
  ]]);
  // The whole, and then a ninth: what comes after a larger one is none.
  assertEquals(isChange("AAABBBC", wide).slice(0, 1), [3]);
  assertEquals(isChange("AAABBBC", wide).includes(4), false);
});

Deno.test("freshness halves in its half-life; a change where a phrase begins renews it, a return by less", () => {
  const fresh = (letters: string, given: Given = {}) => of(letters, given).bars.map((b) => b.freshness);
  near(fresh("AAAA"), [0, 1, 2, 3].map(half));
  near(fresh("AAAABB", { starts: [0, 4] }), [...[0, 1, 2, 3].map(half), 1, half(1)]);
  near(fresh("AAAAAA", { starts: [0, 4] }), [0, 1, 2, 3, 4, 5].map(half));
  near(fresh("..AAA", { fromBarIndex: 2 }), [1, 1, 1, half(1), half(2)]);
  // Half of the change is new; the other half has been heard last four bars before.
  const back = fresh("AAAABBBBAA", { starts: [0, 4, 8] })[8]!;
  assertAlmostEquals(back, half(4) + (1 - half(4)) * (1 - 0.5 * half(4)), 1e-12);
  const weak = fresh("AAAABB", { starts: [0, 4], likeness: 0.5 })[4]!;
  assertAlmostEquals(weak, half(4) + (1 - half(4)) * 0.5, 1e-12);
});

Deno.test("what changes within a phrase is restless, unless it was heard just before; at its edges and joints by half", () => {
  const restless = (letters: string, given: Given = {}) => of(letters, given).bars.map((b) => b.restless);
  near(restless("AAAABAAA"), [0, 0, 0, 0, 1, 0, 0, 0]);
  near(restless("AAAABCAA"), [0, 0, 0, 0, 1, 1, 1, 0]);
  near(restless("AAAABCAA", { settings: { dialogueBars: 3 } }), [0, 0, 0, 0, 1, 1, 0, 0]);
  near(restless("AAAABCAA", { settings: { dialogueBars: 2.6 } }), [0, 0, 0, 0, 1, 1, 0, 0]);
  near(restless("ABBB"), [0, 0.5, 0, 0]);
  near(restless("AAABCCC", { starts: [0, 4] }), [0, 0, 0, 0.5, 0, 0, 0]);
  near(restless("AAABCDDD", { starts: [0, 4] }), [0, 0, 0, 0.5, 0, 0.5, 0, 0]);
  near(restless("AAAABBBB", { turns: { 4: 0.5 } }), [0, 0, 0, 0, 0.75, 0, 0, 0]);
  near(restless("AAAABBBB", { turns: { 4: 3 } }), [0, 0, 0, 0, 0.5, 0, 0, 0]);
  near(restless("AAAA.BBB"), [0, 0, 0, 0, 0, 1, 0, 0]);
  near(restless("AAAA.AAA"), [0, 0, 0, 0, 0, 0, 0, 0]);
  near(restless("AAAABBBB", { likeness: 0.75 }), [0, 0, 0, 0, 0.25, 0, 0, 0]);
  near(restless("AAAABBBB", { likeness: 0.76 }), new Array(8).fill(0));
  near(restless("...ABB", { fromBarIndex: 3 }), [0, 0, 0, 0, 0.5, 0]);
  near(of("AAAABCAA", { starts: [0, 3] }).coherence, [1, 1 / 3.5]);
  assertEquals(of("AAAA", { starts: [0, 2] }).bars.map((b) => b.phrase), [0, 0, 1, 1]);
});

const startsOf = (count: number, turns: Readonly<Record<number, number>> = {}, from = 0, more = {}) =>
  phraseStarts(Array.from({ length: count }, (_, b) => turns[b] ?? 0), from, { ...USUAL, ...more });

Deno.test("phrases are as long as usual without evidence, and begin where there is enough", () => {
  assertEquals(startsOf(8), [0]);
  // Uncut 16 bars lose 0.75, cut into eights they lose what a cut costs.
  assertEquals(startsOf(16), [0, 8]);
  assertEquals(startsOf(16, {}, 0, { phraseFrom: 0.76 }), [0]);
  assertEquals(startsOf(16, { 6: 1 }), [0, 6]);
  // Six and ten bars lose 0.75 · (0.172 + 0.104) = 0.207 against eights.
  assertEquals([startsOf(16, { 6: 0.2 }), startsOf(16, { 6: 0.21 })], [[0, 8], [0, 6]]);
  assertEquals(startsOf(16, {}, 0, { phraseFrom: 9, longestPhraseBars: 12 }).length, 2);
  assertEquals(startsOf(24, {}, 0, { phraseFrom: 9, longestPhraseBars: 11.6 }).length, 2);
  assertEquals(
    startsOf(9, {}, 0, { phraseFrom: 9, longestPhraseBars: 1 }).length,
    3,
    "four bars are none too long",
  );
  assertEquals(startsOf(8, { 1: 50, 7: 50 }), [0], "no phrase is shorter than two bars");
  assertEquals(startsOf(8, { 2: 50, 6: 50 }), [0, 2, 6]);
  assertEquals(startsOf(19, {}, 3), [0, 11], "bars before the first count for nothing");
  assertEquals([startsOf(0), startsOf(1), startsOf(3, {}, 3)], [[], [0], [0]]);
});

/** Turns of a line of quarters in bars of four, given as [quarter, length, pitch], with a bass. */
function turnsOf(
  line: readonly (readonly [at: number, quarters: number, pitch: number])[],
  more: {
    readonly bass?: readonly number[];
    /** Pitches over the bass, each on the second beat of its bar. */
    readonly above?: readonly number[];
    readonly weights?: Partial<typeof USUAL>;
    readonly bars?: Readonly<Record<number, Partial<Bar>>>;
  } = {},
): readonly number[] {
  const { bass = [], above = [], weights = {}, bars = {} } = more;
  const last = line.at(-1)!;
  const low: Line = {
    instrument: "cello",
    role: "bass",
    notes: bass.map((pitch, i) => ({ at: 4 * i, quarters: 4, pitch })),
  };
  const high: Line = {
    instrument: "viola",
    role: "pad",
    notes: above.map((pitch, i) => ({ at: 4 * i + 1, quarters: 2, pitch })),
  };
  const score = smallScore([low, high], { bars: Math.ceil((last[0] + last[1]) / 4), written: false });
  const notes = line.map(([at, quarters, pitch]) => ({
    barIndex: Math.floor(at / 4),
    onsetTicks: at * QUARTER,
    endTicks: (at + quarters) * QUARTER,
    pitch,
  }));
  const printed = score.bars.map((bar, b) => ({ ...bar, ...bars[b] }));
  return phraseTurns({ ...score, bars: printed }, notes, { ...USUAL, repetitionWeight: 0, ...weights });
}
/** Quarters from one place to another, rising so that no two bars are alike in steps. */
const quarters = (from: number, to: number) =>
  Array.from({ length: to - from }, (_, i) => [from + i, 1, 60 + (from + i) ** 2 % 17] as const);

Deno.test("a line that waits turns by how much longer than usual, in powers of two up to four times", () => {
  const waiting = (length: number, rest = 0) =>
    turnsOf([...quarters(0, 8 - length - rest), [8 - length - rest, length, 60], ...quarters(8, 12)]);
  near(waiting(1), [0, 0, 0]);
  near(waiting(2), [0, 0, 0.5]);
  near(waiting(3), [0, 0, Math.log2(3) / 2]);
  near(waiting(4), [0, 0, 1]);
  // A quarter and a rest of one: two to the next note, and one of silence.
  near(waiting(1, 1), [0, 0, Math.log2(3) / 2]);
  near(waiting(2, 2), [0, 0, 1]);
  const wide = turnsOf([...quarters(0, 4), [4, 4, 60], ...quarters(8, 12)], {
    weights: { fullGapTimes: 16 },
  });
  near(wide, [0, 0, 0.5]);
  near(turnsOf([[0, 4, 60], ...quarters(4, 12)]), [0, 1, 0]);
  near(turnsOf(quarters(12, 16)), [0, 0, 0, 0]); // before its first note it does not wait
});

Deno.test("an upbeat of up to half a bar belongs to what it leads into", () => {
  const upbeat = (length: number) =>
    turnsOf([...quarters(0, 6 - length), [6 - length, 2, 60], ...quarters(8 - length, 12)]);
  near(upbeat(2), [0, 0, 0.5]);
  // With one of three quarters the line has waited over the bar line before.
  near(upbeat(3), [0, 0.5, 0]);
});

Deno.test("a bass that falls a fifth or rises a fourth to what the line waits on closes, others do not", () => {
  const line = [...quarters(0, 4), [4, 4, 60], ...quarters(8, 12)] as const;
  const closing = (from: number, to: number) => turnsOf(line, { bass: [from, to, to + 2] })[2]!;
  assertEquals([closing(43, 48), closing(55, 48), closing(43, 36)], [1.25, 1.25, 1.25]);
  assertEquals(closing(31, 48), 1.25, "a fourth and an octave");
  assertEquals([closing(48, 43), closing(48, 50), closing(48, 60), closing(36, 48)], [1, 1, 1, 1]);
  assertEquals(
    turnsOf(line, { bass: [43, 48, 50], above: [62, 64] })[2],
    1.25,
    "what stands over it is no bass",
  );
  const later = [...quarters(0, 8), [8, 4, 60], ...quarters(12, 16)] as const;
  assertEquals(turnsOf(later, { bass: [43, 36, 48, 50] })[3], 1.25, "from G to C, an octave on the way");
  assertEquals(turnsOf(later, { bass: [45, 38, 50, 52] })[3], 1.25, "from A to D, an octave on the way");
});

Deno.test("printed signs turn: a double bar, a rehearsal mark, a metre, key or tempo that holds", () => {
  const line = quarters(0, 24);
  const at2 = (bars: Readonly<Record<number, Partial<Bar>>>) => turnsOf(line, { bars })[2]!;
  assertEquals(at2({}), 0);
  assertEquals(at2({ 2: { rehearsal: "A" } }), 1);
  const planned = smallScore([{ instrument: "cello", role: "bass", notes: [] }], { bars: 4 });
  const marked = planned.bars.map((bar, b) => b === 2 ? { ...bar, rehearsal: "A" } : bar);
  const turns = (layers: typeof planned.layers) => {
    const { layers: _layers, ...read } = planned;
    return phraseTurns({ ...read, bars: marked, ...layers === undefined ? {} : { layers } }, [], USUAL)[2];
  };
  assertEquals([turns(planned.layers), turns(undefined)], [0, 1], "marks of a plan are no signs");
  assertEquals(at2({ 1: { doubleBar: true } }), 1);
  const keys = (count: number) =>
    Object.fromEntries(Array.from({ length: count }, (_, i) => [2 + i, { keyFifths: 3 }]));
  assertEquals([at2(keys(4)), at2(keys(3))], [1, 0], "four bars at least");
  assertEquals(at2({ ...keys(4), 1: { doubleBar: true } }), 1, "two signs are one");
});

Deno.test("a repetition begins where two bars are like two earlier ones while those before are not", () => {
  // Rhythms and steps of bars, a b c d a b: at the fifth bar both are repeated.
  const bars = [[0, 1, 2], [0, 2, 3], [0, 3], [1, 2, 3], [0, 1, 2], [0, 2, 3]];
  const line = (pitchOf: (b: number, i: number) => number) =>
    bars.flatMap((places, b) => places.map((at, i) => [4 * b + at, 1, pitchOf(b, i)] as const));
  const weights = { repetitionWeight: 8, fullGapTimes: 1e9 };
  const of = (pitchOf: (b: number, i: number) => number) =>
    turnsOf(line(pitchOf), { weights })[4]! -
    turnsOf(line(pitchOf), { weights: { ...weights, repetitionWeight: 0 } })[4]!;
  near([of((_, i) => 60 + 2 * i)], [8]);
  near([of((b, i) => 60 + b + 2 * i)], [8]);
  // Other steps, in the same rhythm: half as much.
  near([of((b, i) => 60 + (b < 4 ? 2 : 7) * i)], [4]);
  // A bar with a note and a step more: three of four places and two of three steps are those of the bar before.
  const [three, four] = [[0, 1, 2], [0, 1, 2, 3]];
  const longer = [three!, [0, 3], [1], four!, [0, 3]].flatMap((places, b) =>
    places.map((at, i) => [4 * b + at, 1, 60 + 2 * i] as const)
  );
  const repeated = (repetitionWeight: number) =>
    turnsOf(longer, { weights: { ...weights, repetitionWeight } })[3]!;
  near([repeated(8) - repeated(0)], [8 * (0.75 * (1 + 2 / 3) / 2 + 1) / 2]);
  // A semitone more or less, as in another place of a key, is the same step.
  near([of((b, i) => 60 + (b < 4 ? 2 : 3) * i), of((b, i) => 60 + (b < 4 ? 2 : 4) * i)], [8, 4]);
});

Deno.test("a repetition is told where it begins, by two bars, and as far as 64 bars back", () => {
  // One note to a bar, each letter at a place of its own: bars are alike or have nothing in common.
  const repeated = (letters: string) => {
    const line = [...letters].flatMap((letter, b) =>
      letter === "." ? [] : [[4 * b + "pabcd".indexOf(letter) / 2, 0.5, 60] as const]
    );
    const of = (repetitionWeight: number) =>
      turnsOf(line, { weights: { repetitionWeight, fullGapTimes: 1e9 } });
    const without = of(0);
    return of(8).map((turn, b) => turn - without[b]!);
  };
  // At its second bar it goes on: what came before is as alike.
  near(repeated("pabcpad"), [0, 0, 0, 0, 8, 0, 0]);
  near(repeated("papac").slice(0, 4), [0, 0, 8, 0]);
  near(repeated("pa......bc"), new Array(10).fill(0));
  const at = (bars: number) => repeated(`pa${"c".repeat(bars - 2)}pa`)[bars]!;
  near([at(64), at(65)], [8, 0]);
});
