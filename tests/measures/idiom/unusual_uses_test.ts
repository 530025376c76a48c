/** Uses of parts and the rows and sentences made of them, worked out by hand; how usual they are is whatever was counted. */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { instrumentById, textureOf } from "ripieno";
import { idiom } from "ripieno/measures";
import { defineInstrument } from "ripieno/instruments";
import { knownUses, openScoreUses } from "../../../lib/measures/idiom/counted_uses.ts";
import { usesOf } from "../../../lib/measures/idiom/uses_of.ts";
import { type Line, smallScore } from "../small_scores.ts";

const inBars = (
  instrument: string,
  role: Line["role"],
  pitch: number,
  bars: readonly number[],
  dynamic = 6,
): Line => ({
  instrument,
  role,
  layer: role,
  notes: bars.map((b) => ({ at: 4 * b, quarters: 4, pitch, dynamic })),
});

const lines = [
  inBars("flute", "lead", 79, [0, 1, 2, 3, 4, 5, 6, 7]),
  inBars("tuba", "lead", 55, [0, 1, 3, 4, 5]),
  inBars("piccolo", "bass", 76, [2, 6, 7], 3),
  inBars("horn in F", "run", 48, [0]),
  inBars("oboe", "run", 60, [1]),
  inBars("bassoon", "run", 70, [2], 2),
];
const score = smallScore(lines, { bars: 8 });
/** Bars in which each part plays. */
const bars = lines.map((l) => l.notes.map((n) => n.at / 4));

Deno.test("unusual uses are runs of bars of one part in one way, the longest and the least usual first", () => {
  const { unusual, whole, perBar, perPart } = idiom(score, { constants: { unusualBelow: 1 } });
  for (const { part, fromBarIndex, toBarIndex, bar } of unusual) {
    // Each line plays in one way: its runs are its bars as they follow each other.
    for (let b = fromBarIndex; b <= toBarIndex; b++) assert(bars[part]!.includes(b));
    assert(!bars[part]!.includes(fromBarIndex - 1) && !bars[part]!.includes(toBarIndex + 1));
    assertEquals(bar, String(fromBarIndex + 1));
  }
  const tuba = unusual.filter((u) => u.part === 1).map((u) => [u.fromBarIndex, u.toBarIndex]);
  assertEquals(tuba, [[3, 5], [0, 1]]);
  const piccolo = unusual.filter((u) => u.part === 2).map((u) => [u.fromBarIndex, u.toBarIndex]);
  assertEquals(piccolo, [[6, 7], [2, 2]]);
  const keys = unusual.map((u) => [u.fromBarIndex - u.toBarIndex, u.usualness, u.fromBarIndex]);
  keys.slice(1).forEach((key, i) => {
    const at = key.findIndex((value, k) => value !== keys[i]![k]);
    assert(at < 0 || keys[i]![at]! < key[at]!, `${keys[i]} before ${key}`);
  });
  const uses = bars.flat().length;
  assertAlmostEquals(whole.unusualShare, perBar.reduce((sum, b) => sum + b.unusual, 0) / uses, 1e-12);
  assertAlmostEquals(
    whole.idiom!,
    perPart.reduce((sum, p) => sum + p.idiom! * bars[p.part]!.length, 0) / uses,
    1e-12,
  );
  assertEquals(idiom(score, { constants: { unusualBelow: 0 } }).unusual, []);
});

Deno.test("of uses as long and as unusual the earlier comes first, whatever the order of the parts", () => {
  const tubas = [inBars("tuba", "lead", 55, [0, 5, 6]), inBars("tuba", "lead", 55, [1, 2])];
  const { unusual, description } = idiom(smallScore(tubas, { bars: 8 }), { constants: { unusualBelow: 1 } });
  assertEquals(unusual.map((u) => [u.part, u.fromBarIndex, u.toBarIndex]), [[1, 1, 2], [0, 5, 6], [0, 0, 0]]);
  const { usualness } = unusual[0]!;
  assertEquals(idiom(smallScore(tubas, { bars: 8 }), { constants: { unusualBelow: usualness } }).unusual, []);
  assertEquals(description.length, 3, "all are named, and none counted");
});

Deno.test("each sentence says where, and what of role, register and dynamic is least usual", () => {
  const { unusual, description } = idiom(score, { constants: { unusualBelow: 1 } });
  const told = description.filter((words) => !words.includes("more places"));
  assert(told.length >= 3);
  told.forEach((words, i) => {
    const { partName, fromBarIndex, toBarIndex, ofRole, ofRegister, ofDynamic } = unusual[i]!;
    const where = fromBarIndex === toBarIndex
      ? `in bar ${fromBarIndex + 1}:`
      : `in bars ${fromBarIndex + 1} to ${toBarIndex + 1}:`;
    assert(words.startsWith(`${partName} ${where}`), words);
    const least = Math.min(ofRole, ofRegister, ofDynamic);
    const reason = least === ofRole ? "has this role" : least === ofRegister ? "lies" : "is seldom";
    assert(words.includes(reason), `${words} ${[ofRole, ofRegister, ofDynamic]}`);
  });
  const more = unusual.length - told.length;
  assertEquals(description.length > told.length, more > 0);
  if (more > 0) assert(description.at(-1)!.startsWith(`${more} more places`));
});

Deno.test("three unusual uses are named and the rest counted", () => {
  const said = (bars: readonly number[]) =>
    idiom(smallScore([inBars("tuba", "lead", 55, bars)], { bars: 8 }), { constants: { unusualBelow: 1 } })
      .description.slice(3);
  const rest = "unusual in what an instrument does.";
  assertEquals([[0, 2, 4], [0, 2, 4, 6], [0, 2, 4, 5, 7]].map(said), [[], [`1 more place is ${rest}`], [
    `1 more place is ${rest}`,
  ]]);
  assertEquals(said([1, 3, 5, 7]).concat(said([0, 1])), [`1 more place is ${rest}`]);
  const both = [inBars("tuba", "lead", 55, [0, 2, 4]), {
    ...inBars("tuba", "run", 55, [0, 2]),
    layer: "run",
  }];
  const { description } = idiom(smallScore(both, { bars: 8 }), { constants: { unusualBelow: 1 } });
  assertEquals(description[3], `2 more places are ${rest}`);
});

Deno.test("an instrument of one's own goes by its family, in registers of its own", () => {
  const ways = { role: "lead", register: "high", dynamic: "loud" } as const;
  const known = knownUses(openScoreUses(), 50);
  const oboe = known("oboe").usualnessOf(ways);
  assert(oboe !== null);
  defineInstrument({ id: "third-high pipe", like: "oboe", rangeComfortable: { low: 64, high: 67 } });
  defineInstrument({ id: "other shawm", like: "oboe" });
  const pipe = known("third-high pipe");
  assertEquals([pipe.bars, pipe.usualnessOf(ways) === null], [0, false]);
  assertEquals(pipe.usualnessOf(ways), known("other shawm").usualnessOf(ways));
  const register = (pitch: number) => {
    const pipes = smallScore([inBars("third-high pipe", "lead", pitch, [0])]);
    return usesOf(pipes, textureOf(pipes))[0]!.register;
  };
  assertEquals([64, 65, 66, 67].map(register), ["low", "middle", "high", "high"]);
});

Deno.test("registers are thirds of the comfortable range, loud is from half way between mp and mf", () => {
  const { low, high } = instrumentById("flute").rangeComfortable;
  const use = (pitch: number, ...dynamics: readonly number[]) => {
    const notes = dynamics.map((dynamic, i) => ({ at: i, quarters: 1, pitch, dynamic }));
    const score = smallScore([{ instrument: "flute", role: "lead", notes }], { bars: 1 });
    return usesOf(score, textureOf(score)).map((u) => [u.register, u.dynamic]).flat();
  };
  const at = (share: number) => use(low + share * (high - low), 5)[0];
  assertEquals([0, 0.32, 0.34, 0.65, 0.68, 1].map(at), ["low", "low", "middle", "middle", "high", "high"]);
  assertEquals([use(low - 5, 5)[0], use(high + 5, 5)[0]], ["low", "high"]);
  assertEquals([use(70, 4)[1], use(70, 4, 5)[1], use(70, 4, 4, 5)[1]], ["soft", "loud", "soft"]);
});
