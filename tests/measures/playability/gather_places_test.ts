/** Places gathered into findings, and the words and lengths that all rules share: worked out by hand. */
import { assertEquals } from "@std/assert";
import { makeNote } from "ripieno/score";
import { gatherPlaces, isWorse } from "../../../lib/measures/playability/gather_places.ts";
import {
  type FindingPlace,
  inTenths,
  lengthOf,
  lineOf,
  soundingSeconds,
  stretchesOf,
  withArticle,
} from "../../../lib/measures/playability/judge.ts";
import { smallScore, TICKS_PER_QUARTER as QUARTER } from "../small_scores.ts";

const BAR = 4 * QUARTER;
const score = smallScore([{ instrument: "flute", role: "lead", notes: [] }], { bars: 20 });

function place(fromQuarter: number, quarters: number, change: Partial<FindingPlace> = {}): FindingPlace {
  return {
    part: 0,
    partName: "Flute",
    onsetTicks: fromQuarter * QUARTER,
    endTicks: (fromQuarter + quarters) * QUARTER,
    severity: "risky",
    rule: "range",
    what: "one",
    figure: 12,
    limit: 10,
    unit: "semitones",
    source: "test",
    remedy: "none",
    ...change,
  };
}

const spans = (...places: readonly FindingPlace[]) =>
  gatherPlaces(places, score).map((f) => [f.fromBarIndex, f.toBarIndex, f.places]);

Deno.test("places of a part and rule up to four bars apart are one finding, wherever in their bars they lie", () => {
  assertEquals(spans(place(0, 4), place(16, 4)), [[0, 4, 2]]);
  assertEquals(spans(place(3, 1), place(16, 1)), [[0, 4, 2]]);
  assertEquals(spans(place(0, 4), place(20, 4)), [[0, 0, 1], [5, 5, 1]]);
  assertEquals(spans(place(0, 8), place(20, 4)), [[0, 5, 2]], "counted from where the first ends");
  assertEquals(spans(place(0, 16), place(1, 1), place(32, 1)), [[0, 3, 2], [8, 8, 1]], "one within another");
  assertEquals(spans(place(0, 16), place(1, 1), place(28, 1)), [[0, 7, 3]]);
  assertEquals(spans(place(3, 1)), [[0, 0, 1]], "a note to the bar line ends in its bar");
  assertEquals(spans(place(3, 1 + 1 / QUARTER)), [[0, 1, 1]], "a tick more is in the next");
  assertEquals(spans(place(4, 0)), [[1, 1, 1]], "a grace note has no length");
  assertEquals(spans(place(4, 1), place(0, 1)), [[0, 1, 2]], "in any order");
  assertEquals(spans(place(0, 1), place(1, 1, { part: 1 }), place(2, 1, { rule: "breath" })).length, 3);
});

Deno.test("a finding has the words of its worst place and stands where the first is", () => {
  const [found] = gatherPlaces([
    place(2, 1, { what: "first" }),
    place(5, 1, { what: "worst", figure: 7, limit: 10 }),
    place(6, 1, { what: "as bad", figure: 13, limit: 10 }),
    place(9, 1, { what: "milder, though further off", severity: "note", figure: 30 }),
  ], score);
  assertEquals([found!.what, found!.figure, found!.bar, found!.beat], ["worst", 7, "1", 3]);
});

Deno.test("the worse comes first: impossible, risky, tiring, note; then in the order of bars and parts", () => {
  const found = gatherPlaces([
    place(40, 1, { severity: "note" }),
    place(0, 1, { severity: "tiring", part: 1 }),
    place(60, 1),
    place(20, 1, { part: 2 }),
    place(20, 1, { part: 1, rule: "breath" }),
    place(70, 1, { severity: "impossible", part: 3 }),
  ], score);
  assertEquals(found.map((f) => [f.severity, f.fromBarIndex, f.part]), [
    ["impossible", 17, 3],
    ["risky", 5, 1],
    ["risky", 5, 2],
    ["risky", 15, 0],
    ["tiring", 0, 1],
    ["note", 10, 0],
  ]);
});

Deno.test("a figure is worse that is more serious, or of two as serious the further from its limit", () => {
  const of = (severity: "risky" | "note", figure: number) => ({ severity, figure, limit: 10 });
  assertEquals(isWorse(of("risky", 11), of("note", 30)), true);
  assertEquals(isWorse(of("note", 30), of("risky", 11)), false);
  assertEquals(isWorse(of("note", 7), of("note", 12)), true);
  assertEquals(isWorse(of("note", 13), of("note", 7)), false, "as far off");
});

/** A second to a quarter. */
const clock = (ticks: number) => ticks / QUARTER;
const note = (at: number, quarters: number, more = {}) =>
  makeNote({
    part: 0,
    onsetTicks: at * QUARTER,
    durationTicks: quarters * QUARTER,
    soundingPitch: 70,
    ...more,
  });

Deno.test("lines are cut where nothing sounds for a given time, and at breath marks", () => {
  const sizes = (gap: number, ...notes: readonly ReturnType<typeof note>[]) =>
    stretchesOf(notes, { clock }, gap).map((s) => s.length);
  assertEquals(sizes(1, note(0, 1), note(2, 1), note(2.9, 1)), [1, 2], "a gap of just so long");
  assertEquals(sizes(1.5, note(0, 1), note(2, 1)), [2]);
  assertEquals(sizes(0.5, note(0, 1, { articulations: ["staccato"] }), note(1, 1)), [1, 1], "it sounds half");
  assertEquals(sizes(0.6, note(0, 1, { articulations: ["staccato"] }), note(1, 1)), [2]);
  assertEquals(sizes(9, note(0, 1, { articulations: ["breath"] }), note(1, 1), note(2, 1)), [1, 2]);
  assertEquals(sizes(1, note(0, 4), note(1, 1), note(4, 1)), [3], "the longer one still sounds");
  assertEquals(sizes(1), []);
});

Deno.test("a player follows the longest note of each onset; lengths are written or, with articulation, heard", () => {
  const [short, long, next] = [note(0, 1), note(0, 2), note(2, 1, { articulations: ["staccato"] })];
  assertEquals(lineOf([short, long, next]), [long, next]);
  assertEquals(lineOf([long, short, next]), [long, next]);
  assertEquals([lengthOf(next, { clock }), soundingSeconds(next, { clock })], [1, 0.5]);
  assertEquals([inTenths(1.25), inTenths(1.24), inTenths(-0.06)], [1.3, 1.2, -0.1]);
  assertEquals(["oboe", "horn in F", "euphonium", "English horn"].map(withArticle), [
    "an oboe",
    "a horn in F",
    "a euphonium",
    "an English horn",
  ]);
  assertEquals(BAR, score.bars[0]!.durationTicks);
});
