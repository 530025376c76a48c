import { assertEquals } from "@std/assert";
import type { Bar, Score } from "ripieno/score";
import { printedTurns } from "../../lib/measures/printed_turns.ts";
import { smallScore } from "./small_scores.ts";

const BARS = 8, STEADY = 2;

/** Turns of a score whose bars differ from plain ones as is said of each, by bar index. */
function turnsOf(differences: Readonly<Record<number, Partial<Bar>>>, more: Partial<Score> = {}) {
  const plain = smallScore([{ instrument: "flute", role: "lead", notes: [] }], { bars: BARS });
  const bars = plain.bars.map((bar, i) => ({ ...bar, ...differences[i] }));
  return printedTurns({ ...plain, ...more, bars }, STEADY).flatMap((signs, b) =>
    signs.map((sign) => [b, sign])
  );
}

const from = (first: number, difference: Partial<Bar>, last: number = BARS - 1) =>
  Object.fromEntries(Array.from({ length: last - first + 1 }, (_, i) => [first + i, difference]));

Deno.test("a plain score has no turns; a double bar is one in the bar after it", () => {
  assertEquals(turnsOf({}), []);
  assertEquals(turnsOf({ 3: { doubleBar: true } }), [[4, "double bar"]]);
});

Deno.test("a new metre, key or tempo is a turn where it holds for some bars, and the one before it did", () => {
  assertEquals(turnsOf(from(4, { beats: 3 })), [[4, "new metre"]]);
  assertEquals(turnsOf(from(4, { beatUnit: 8 })), [[4, "new metre"]]);
  assertEquals(turnsOf(from(4, { keyFifths: 2 })), [[4, "new key"]]);
  assertEquals(turnsOf(from(4, { keyFifths: 2 }, 4)), []);
  assertEquals(turnsOf(from(4, { keyFifths: 2 }, 5)), [[4, "new key"], [6, "new key"]]);
  assertEquals(turnsOf(from(1, { keyFifths: 2 })), [[1, "new key"]]);
  assertEquals(
    turnsOf({ 0: { keyFifths: 1 }, ...from(2, { keyFifths: 2 }) }),
    [],
    "the one before was a bar long",
  );
  const { bars, tempos } = smallScore([{ instrument: "flute", role: "lead", notes: [] }], { bars: BARS });
  const faster = { ...tempos[0]!, onsetTicks: bars[5]!.startTicks, quartersPerMinute: 150 };
  assertEquals(turnsOf({}, { tempos: [...tempos, faster] }), [[5, "new tempo"]]);
  const inTheBar = { ...faster, onsetTicks: faster.onsetTicks + 1 };
  assertEquals(turnsOf({}, { tempos: [...tempos, inTheBar] }), [[6, "new tempo"]]);
});

Deno.test("a stretch that is repeated begins and ends with a turn; so does a jump, and numbers that go back", () => {
  assertEquals(turnsOf({ 2: { repeat: { start: true } } }), [[2, "repeat"]]);
  assertEquals(turnsOf({ 3: { repeat: { times: 2 } } }), [[4, "repeat"]]);
  assertEquals(turnsOf({ 3: { repeat: { endings: [1], times: 2 } }, 4: { repeat: { endings: [2] } } }), [[
    5,
    "repeat",
  ]]);
  assertEquals(turnsOf({ 5: { repeat: { segno: true } }, 6: { repeat: { coda: true } } }), [[5, "repeat"], [
    6,
    "repeat",
  ]]);
  assertEquals(turnsOf({ 5: { repeat: { fine: true } } }), [[6, "repeat"]]);
  assertEquals(turnsOf({ 4: { number: "3" }, 5: { number: "4" }, 6: { number: "5" }, 7: { number: "6" } }), [[
    4,
    "repeat",
  ]]);
  const oneBar = { 4: { number: "4" }, 5: { number: "5" }, 6: { number: "6" }, 7: { number: "7" } };
  assertEquals(turnsOf(oneBar), [[4, "repeat"]], "one bar twice");
  assertEquals(turnsOf({ 4: { number: "4a" } }), []);
});
