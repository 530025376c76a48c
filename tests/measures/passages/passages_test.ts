import { assert, assertEquals } from "@std/assert";
import fc from "fast-check";
import { demoPlans, demoSketch, freshness, realise, type Score } from "ripieno";
import { passagesOf, type ScorePassage } from "ripieno/measures";
import type { Bar, WrittenLayer } from "ripieno/score";
import { repeatedNotes, smallScore as scoreWith } from "../small_scores.ts";
import { smallScore } from "../../show/small_study.ts";
import { scoringOf } from "../freshness/scorings.ts";

/** A score of this many silent bars, with what is printed at some of them. */
function scoreOf(bars: number, printed: Readonly<Record<number, Partial<Bar>>> = {}): Score {
  const { rehearsal: _mark, ...bar } = smallScore.bars[0]!;
  return {
    ...smallScore,
    notes: [],
    bars: Array.from({ length: bars }, (_, i) => ({
      ...bar,
      number: String(i + 1),
      startTicks: bar.durationTicks * i,
      ...printed[i],
    })),
  };
}

function layer(passage: string, fromBarIndex: number, toBarIndex: number): WrittenLayer {
  return {
    id: `${passage} ${fromBarIndex}`,
    role: "lead",
    figure: "tune",
    parts: [0],
    fromBarIndex,
    toBarIndex,
    passage,
  };
}

/** Passages as `name from–to`, bars from 1. */
function said(passages: readonly ScorePassage[]): readonly string[] {
  return passages.map((p) => `${p.name} ${p.fromBarIndex + 1}–${p.toBarIndex + 1}`.trim());
}

Deno.test("passagesOf() cuts at rehearsal marks, also where only one stands after the beginning", () => {
  assertEquals(said(passagesOf(scoreOf(16, { 0: { rehearsal: "A" }, 8: { rehearsal: "B" } }))), [
    "A 1–8",
    "B 9–16",
  ]);
  assertEquals(said(passagesOf(scoreOf(16, { 8: { rehearsal: "B" } }))), ["1–8", "B 9–16"]);
  assertEquals(said(passagesOf(scoreOf(30, { 3: { rehearsal: "B" } }))), ["1–3", "B 4–30"]);
});

Deno.test("passagesOf() says of each passage whether it begins at a mark, by whatever name, or with the score", () => {
  const of = (printed: Readonly<Record<number, Partial<Bar>>>) =>
    passagesOf(scoreOf(9, printed)).map((p) => [p.fromBarIndex, p.name, ...p.begins].join(" "));
  assertEquals(of({ 0: { rehearsal: "A" }, 1: { rehearsal: "" } }), [
    "0 A rehearsal mark",
    "1  rehearsal mark",
  ]);
  assertEquals(of({ 4: { rehearsal: "B" } }), ["0  beginning", "4 B rehearsal mark"]);
});

Deno.test("passagesOf() keeps the passages of the plan a score was written from, whatever is marked", () => {
  const planned = (...layers: readonly WrittenLayer[]) =>
    said(passagesOf({ ...scoreOf(16, { 0: { rehearsal: "A" }, 3: { doubleBar: true } }), layers }));
  assertEquals(planned(layer("A", 0, 15)), ["A 1–16"]);
  assertEquals(planned(layer("A", 0, 7), layer("B", 8, 15), layer("B", 8, 11)), ["A 1–8", "B 9–16"]);
  assertEquals(planned(layer("A", 0, 7)), ["A 1–8", "9–16"]); // nobody plays in the second half
  assertEquals(planned(layer("C", 12, 15), layer("B", 4, 11), layer("A", 0, 3)), [
    "A 1–4",
    "B 5–12",
    "C 13–16",
  ]);
  assertEquals(planned(layer("A", 0, 15), layer("Sweep", 6, 7)), ["A 1–6", "Sweep 7–8", "A 9–16"]);
});

Deno.test("passagesOf() cuts at a double bar, a repeat, a new tempo, metre or key, and says why", () => {
  const at11 = (printed: Readonly<Record<number, Partial<Bar>>>, more: Partial<Score> = {}) =>
    passagesOf({ ...scoreOf(24, printed), ...more }).map((p) => [p.fromBarIndex + 1, ...p.begins]);
  const from = (change: Partial<Bar>) =>
    Object.fromEntries(Array.from({ length: 14 }, (_, i) => [10 + i, change]));
  const { durationTicks } = scoreOf(1).bars[0]!;
  assertEquals(at11({ 9: { doubleBar: true } }), [[1, "beginning"], [11, "double bar"]]);
  assertEquals(at11({ 10: { repeat: { start: true } } }), [[1, "beginning"], [11, "repeat"]]);
  assertEquals(at11({ 9: { repeat: { times: 2 } } }), [[1, "beginning"], [11, "repeat"]]);
  assertEquals(at11(from({ beats: 3 })), [[1, "beginning"], [11, "new metre"]]);
  assertEquals(at11(from({ keyFifths: -3 })), [[1, "beginning"], [11, "new key"]]);
  assertEquals(
    at11({}, {
      tempos: [
        { onsetTicks: 0, quartersPerMinute: 120, origin: "marked" },
        { onsetTicks: 10 * durationTicks, quartersPerMinute: 80, origin: "marked" },
      ],
    }),
    [[1, "beginning"], [11, "new tempo"]],
  );
});

Deno.test("passagesOf() takes no metre that changes in every bar for a turn, nor a second ending", () => {
  const changing = Object.fromEntries(Array.from({ length: 24 }, (_, i) => [i, { beats: 2 + i % 3 }]));
  assertEquals(said(passagesOf(scoreOf(24, changing))), ["1–24"]);
  const endings = { 9: { repeat: { endings: [1], times: 2 } }, 10: { repeat: { endings: [2] } } };
  assertEquals(said(passagesOf(scoreOf(24, endings))), ["1–11", "12–24"]);
});

Deno.test("passagesOf() cuts where other players take over, wherever that is", () => {
  for (const turn of [9, 13, 18]) {
    const score = scoreWith([
      { instrument: "flute", role: "lead", notes: repeatedNotes(74, 0.5, { to: 4 * turn }) },
      { instrument: "violin", role: "lead", notes: repeatedNotes(67, 1, { from: 4 * turn, to: 96 }) },
      { instrument: "horn in F", role: "pad", notes: repeatedNotes(55, 4, { from: 4 * turn, to: 96 }) },
    ], { bars: 24, written: false });
    assertEquals(said(passagesOf(score)), [`1–${turn}`, `${turn + 1}–24`]);
  }
});

Deno.test("passagesOf() cuts what only goes on into even lengths", () => {
  assertEquals(said(passagesOf(scoreOf(1))), ["1–1"]);
  assertEquals(said(passagesOf(scoreOf(32))), ["1–32"]);
  const sizes = passagesOf(scoreOf(200)).map((p) => p.toBarIndex + 1 - p.fromBarIndex);
  assert(Math.max(...sizes) - Math.min(...sizes) <= 1, sizes.join(" "));
});

Deno.test("passagesOf() covers every bar once in order, never empty, never over 32 bars, cut at every mark, short only at marks", () => {
  const printed = fc.record({
    rehearsal: fc.option(fc.constantFrom("A", "B", "12"), { nil: undefined, freq: 12 }),
    doubleBar: fc.option(fc.constant(true as const), { nil: undefined, freq: 8 }),
    beats: fc.constantFrom(2, 3, 4),
    keyFifths: fc.constantFrom(-2, 0),
  });
  fc.assert(fc.property(fc.array(printed, { minLength: 1, maxLength: 150 }), (signs) => {
    const score = scoreOf(
      signs.length,
      Object.fromEntries(signs.map(({ rehearsal, doubleBar, ...sign }, i) => [i, {
        ...sign,
        ...(rehearsal === undefined ? {} : { rehearsal }),
        ...(doubleBar === undefined ? {} : { doubleBar }),
      }])),
    );
    const measured = freshness(smallScore);
    const perBar = signs.map((_, barIndex) => ({
      ...measured.perBar[0]!,
      barIndex,
      novelty: (barIndex * 7919 % 101) / 101,
    }));
    const passages = passagesOf(score, { freshness: { ...measured, perBar } });
    assertEquals(passages[0]!.fromBarIndex, 0);
    assertEquals(passages.at(-1)!.toBarIndex, signs.length - 1);
    passages.slice(1).forEach((p, i) => assertEquals(p.fromBarIndex, passages[i]!.toBarIndex + 1));
    const starts = new Set(passages.map((p) => p.fromBarIndex));
    signs.forEach((s, i) => assert(s.rehearsal === undefined || starts.has(i)));
    for (const { fromBarIndex, toBarIndex, begins, name } of passages) {
      const bars = toBarIndex + 1 - fromBarIndex;
      assert(bars >= 1 && bars <= 32 && begins.length > 0);
      assertEquals(name, signs[fromBarIndex]!.rehearsal ?? "");
      const isBetweenMarks = (b: number) => b <= 0 || b >= signs.length || signs[b]!.rehearsal !== undefined;
      assert(
        bars >= 4 || (isBetweenMarks(fromBarIndex) && isBetweenMarks(toBarIndex + 1)),
        `${fromBarIndex} to ${toBarIndex}`,
      );
    }
  }));
});

Deno.test("passagesOf() finds the demo's own passages in its notes alone, all but one, and no others", () => {
  const { layers: _layers, ...plain } = realise(demoSketch(), demoPlans().rotating);
  const unmarked = { ...plain, bars: plain.bars.map(({ rehearsal: _mark, ...bar }) => bar) };
  const found = passagesOf(unmarked).map((p) => p.fromBarIndex);
  const own = passagesOf(realise(demoSketch(), demoPlans().rotating)).map((p) => p.fromBarIndex);
  assertEquals(found.filter((bar) => !own.includes(bar)), []);
  assert(found.length >= own.length - 1, found.join(" "));
});

Deno.test("passagesOf() fills a score also where the longest passage is asked to be shorter than two of the shortest", () => {
  for (let bars = 1; bars <= 60; bars++) {
    const sizes = passagesOf(scoreOf(bars), { constants: { shortestBars: 6, longestBars: 2 } })
      .map((p) => p.toBarIndex + 1 - p.fromBarIndex);
    assertEquals(sizes.reduce((a, b) => a + b, 0), bars);
    assert(sizes.every((size) => size <= 11 && (size >= 6 || bars < 6)), sizes.join(" "));
  }
});

Deno.test("passagesOf() cuts where what turns is worth more than a cut and what the lengths lose, by hand", () => {
  const measured = freshness(smallScore);
  const cuts = (
    bars: number,
    novelties: Readonly<Record<number, number>>,
    options: { readonly printed?: Readonly<Record<number, Partial<Bar>>>; readonly constants?: object } = {},
  ) => {
    const perBar = Array.from({ length: bars }, (_, barIndex) => ({
      ...measured.perBar[0]!,
      barIndex,
      novelty: novelties[barIndex] ?? 0,
    }));
    const { printed = {}, constants = {} } = options;
    return passagesOf(scoreOf(bars, printed), { freshness: { ...measured, perBar }, constants })
      .map((p) => [p.fromBarIndex, ...p.begins].join(" "));
  };
  // 24 bars lose 0.1 log2(24/16)² = 0.0342, 10 and 14 together 0.0497: a cut costs 0.25 and 0.0155.
  assertEquals(cuts(24, { 10: 0.265 }), ["0 beginning"]);
  assertEquals(cuts(24, { 10: 0.266 }), ["0 beginning", "10 new scoring"]);
  // Of 33 bars, too many for one, halves lose least; a novelty below 0.25 is no reason to give.
  assertEquals(cuts(33, { 16: 0.2 }), ["0 beginning", "16 length"]);
  assertEquals(cuts(33, { 12: 0.25 }), ["0 beginning", "12 new scoring"]);
  // No passage is shorter than four bars; a length in between is rounded.
  const doubleBar = { doubleBar: true } as const;
  assertEquals(cuts(24, {}, { printed: { 3: doubleBar } }), ["0 beginning", "4 double bar"]);
  assertEquals(cuts(24, {}, { printed: { 2: doubleBar } }), ["0 beginning"]);
  assertEquals(cuts(24, {}, { printed: { 2: doubleBar }, constants: { shortestBars: 3.5 } }), [
    "0 beginning",
  ]);
  // Two signs count twice, with a weight of 0.2 a cut at 12, which costs 0.25 and 0.0002 less, is worth it with two.
  const key = Object.fromEntries(Array.from({ length: 12 }, (_, i) => [12 + i, { keyFifths: 2 }]));
  const light = { constants: { signWeight: 0.2 } };
  assertEquals(cuts(24, {}, { ...light, printed: { 11: doubleBar } }), ["0 beginning"]);
  assertEquals(cuts(24, {}, { ...light, printed: { 11: doubleBar, ...key } }), [
    "0 beginning",
    "12 double bar new key",
  ]);
  // The longest is rounded too: where lengths lose nothing, 24 bars are cut at the turn alone if twelve may stay together.
  const rounded = (longestBars: number) =>
    cuts(24, { 12: 0.3 }, { constants: { longestBars, lengthWeight: 0 } }).length;
  assertEquals([11.4, 11.6].map(rounded), [4, 2]);
  // Nothing turns in bars that the freshness does not tell of.
  const shorter = { ...measured, perBar: measured.perBar.slice(0, 1) };
  assertEquals(said(passagesOf(scoreOf(24), { freshness: shorter })), ["1–24"]);
  const planned = (...layers: readonly WrittenLayer[]) => said(passagesOf({ ...scoreOf(16), layers }));
  assertEquals(planned(layer("A", 0, 3), layer("One", 4, 4), layer("B", 5, 15)), [
    "A 1–4",
    "One 5–5",
    "B 6–16",
  ]);
  assertEquals(planned(layer("Alone", 0, 15)), ["Alone 1–16"]);
  assertEquals(planned(layer("Late", 4, 15)), ["1–4", "Late 5–16"]);
  assertEquals(planned(layer("One", 0, 15), layer("One", 0, 7)), ["One 1–16"]);
  assertEquals(
    planned(layer("One", 0, 15), layer("Two", 0, 7)),
    ["Two 1–8", "One 9–16"],
    "the row further down",
  );
  assertEquals(said(passagesOf(scoreOf(33))).length, 2, "too long for one");
  // The notes never change, but who leads does, by the texture that is given: a fifth of what bars are alike in.
  const { score, texture } = scoringOf(["LLLLLLLLLL..............", "..........LLLLLLLLLLLLLL"]);
  const handed = passagesOf({ ...score, layers: [] }, { texture, constants: { turnFrom: 0.05 } });
  assertEquals(said(handed), ["1–10", "11–24"]);
});
