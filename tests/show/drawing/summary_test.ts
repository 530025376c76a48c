import { assertEquals } from "@std/assert";
import type { Score } from "ripieno";
import type { WrittenLayer } from "ripieno/score";
import { passagesOf, summarise } from "ripieno/show";
import { smallScore, smallStudy } from "../small_study.ts";

/** A score of this many bars, with marks at some of them. */
function scoreOf(bars: number, marks: Readonly<Record<number, string>> = {}): Score {
  const { rehearsal: _mark, ...bar } = smallScore.bars[0]!;
  return {
    ...smallScore,
    bars: Array.from({ length: bars }, (_, i) => ({
      ...bar,
      number: String(i + 1),
      startTicks: 16 * i,
      ...(marks[i] === undefined ? {} : { rehearsal: marks[i] }),
    })),
  };
}

function layer(passage: string, fromBar: number, toBar: number): WrittenLayer {
  return { id: `${passage} ${fromBar}`, role: "lead", figure: "tune", parts: [0], fromBar, toBar, passage };
}

/** Passages as `name from–to`, bars from 1. */
function said(score: Score): readonly string[] {
  return passagesOf(score).map((p) => `${p.name} ${p.fromBar + 1}–${p.toBar + 1}`.trim());
}

Deno.test("passagesOf() cuts at rehearsal marks, also where only one stands after the beginning", () => {
  assertEquals(said(scoreOf(16, { 0: "A", 8: "B" })), ["A 1–8", "B 9–16"]);
  assertEquals(said(scoreOf(16, { 8: "B" })), ["1–8", "B 9–16"]);
  assertEquals(said(scoreOf(40, { 3: "B" })), ["1–3", "B 4–40"]);
});

Deno.test("passagesOf() cuts a score with one mark at its beginning evenly, and names no part of it alone", () => {
  assertEquals(said(scoreOf(8, { 0: "A" })), ["A 1–8"]);
  assertEquals(said(scoreOf(16, { 0: "A" })), ["1–8", "9–16"]);
  assertEquals(said(scoreOf(21)), ["1–8", "9–16", "17–21"]);
});

Deno.test("passagesOf() keeps the passages of the plan a score was written from, whatever is marked", () => {
  const planned = (...layers: readonly WrittenLayer[]) => said({ ...scoreOf(16, { 0: "A" }), layers });
  assertEquals(planned(layer("A", 0, 15)), ["A 1–16"]);
  assertEquals(planned(layer("A", 0, 7), layer("B", 8, 15), layer("B", 8, 11)), ["A 1–8", "B 9–16"]);
  assertEquals(planned(layer("A", 0, 7)), ["A 1–8", "9–16"]); // nobody plays in the second half
  assertEquals(planned(layer("A", 0, 15), layer("Sweep", 6, 7)), ["A 1–6", "Sweep 7–8", "A 9–16"]);
});

Deno.test("summarise() writes one bar as one", () => {
  const rows = summarise(smallStudy, { ...smallScore, bars: smallScore.bars.slice(0, 1) });
  assertEquals(rows.map((r) => [r.passage, r.bars]), [["Dawn", "1"]]);
  const { rehearsal: _mark, ...bar } = smallScore.bars[0]!;
  assertEquals(summarise(smallStudy, { ...smallScore, bars: [bar] })[0]?.passage, "bar 1");
});
