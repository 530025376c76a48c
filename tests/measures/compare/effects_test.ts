/**
 * Effects of choices: against printed analyses of variance and rank correlations, and by identities.
 *
 * The data sets PlantGrowth (Dobson 1983), InsectSprays (Beall 1942) and ToothGrowth (Crampton 1947) come with R, whose
 * documentation prints the analyses; data and results are given from memory.
 */
import { assert, assertAlmostEquals, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import fc from "fast-check";
import { effects, InputError } from "ripieno";
import type { Effects } from "ripieno/measures";
import { kendall, ranksOf, spearman } from "../../../lib/measures/rank_correlation.ts";

type Groups = Readonly<Record<string, readonly number[]>>;

const PLANT_GROWTH: Groups = {
  ctrl: [4.17, 5.58, 5.18, 6.11, 4.50, 4.61, 5.17, 4.53, 5.33, 5.14],
  trt1: [4.81, 4.17, 4.41, 3.59, 5.87, 3.83, 6.03, 4.89, 4.32, 4.69],
  trt2: [6.31, 5.12, 5.54, 5.50, 5.37, 5.29, 4.92, 6.15, 5.80, 5.26],
};

const INSECT_SPRAYS: Groups = {
  A: [10, 7, 20, 14, 14, 12, 10, 23, 17, 20, 14, 13],
  B: [11, 17, 21, 11, 16, 14, 17, 17, 19, 21, 7, 13],
  C: [0, 1, 7, 2, 3, 1, 2, 1, 3, 0, 1, 4],
  D: [3, 5, 12, 6, 4, 3, 5, 5, 5, 5, 2, 4],
  E: [3, 5, 3, 5, 3, 6, 1, 1, 3, 2, 6, 4],
  F: [11, 9, 15, 22, 15, 16, 13, 10, 26, 26, 24, 13],
};

/** Length of teeth by supplement and dose in mg a day. */
const TOOTH_GROWTH: readonly (readonly [string, number, readonly number[]])[] = [
  ["VC", 0.5, [4.2, 11.5, 7.3, 5.8, 6.4, 10, 11.2, 11.2, 5.2, 7]],
  ["VC", 1, [16.5, 16.5, 15.2, 17.3, 22.5, 17.3, 13.6, 14.5, 18.8, 15.5]],
  ["VC", 2, [23.6, 18.5, 33.9, 25.5, 26.4, 32.5, 26.7, 21.5, 23.3, 29.5]],
  ["OJ", 0.5, [15.2, 21.5, 17.6, 9.7, 14.5, 10, 8.2, 9.4, 16.5, 9.7]],
  ["OJ", 1, [19.7, 23.3, 23.6, 26.4, 20, 25.2, 25.8, 21.2, 14.5, 27.3]],
  ["OJ", 2, [25.5, 26.4, 22.4, 24.5, 24.8, 30.9, 26.4, 27.3, 29.4, 23]],
];

const rowsOf = (groups: Groups) =>
  Object.entries(groups).flatMap(([group, values]) => values.map((value) => ({ group, value })));
const toothRows = TOOTH_GROWTH.flatMap(([supp, dose, lengths]) =>
  lengths.map((length) => ({ supp, dose, length }))
);
const choice = (e: Effects, name: string) => e.perChoice.find((c) => c.choice === name)!;

Deno.test("effects() agrees with R's analysis of PlantGrowth and InsectSprays", () => {
  const cases = [
    // group, residual sum of squares; F; as printed by summary(aov(…))
    { groups: PLANT_GROWTH, between: 3.766, within: 10.492, f: 4.846, digits: 5e-4 },
    { groups: INSECT_SPRAYS, between: 2669, within: 1015, f: 34.70, digits: 5e-3 },
  ];
  for (const { groups, between, within, f, digits } of cases) {
    const found = choice(effects(rowsOf(groups), { of: "value", by: ["group"] }), "group");
    assertAlmostEquals(found.fRatio!, f, digits);
    assertAlmostEquals(found.share, between / (between + within), 2e-4);
  }
});

Deno.test("effects() agrees with R's two-way analysis of ToothGrowth", () => {
  // aov(len ~ supp * dose), dose as factor: supp 205.4, dose 2426.4, supp:dose 108.3, residuals 712.1
  const total = 205.35 + 2426.43 + 108.32 + 712.11;
  const found = effects(toothRows, { of: "length", by: ["supp", "dose"] });
  assertEquals(found.perChoice.map((c) => c.choice), ["dose", "supp"]);
  assertAlmostEquals(choice(found, "supp").share, 205.35 / total, 1e-5);
  assertAlmostEquals(choice(found, "dose").share, 2426.43 / total, 1e-5);
  assertAlmostEquals(found.whole.together, (205.35 + 2426.43) / total, 1e-5);
  assertAlmostEquals(found.whole.combinations, (108.32 + 712.11) / total, 1e-5);
  assertAlmostEquals(choice(found, "supp").ownShare, choice(found, "supp").share, 1e-12);
  assertEquals([choice(found, "dose").highest, choice(found, "dose").lowest], [2, 0.5]);
  // cor(len, dose, method = "spearman"), and none for a choice without an order
  assert(choice(found, "dose").rankCorrelation! > 0.8);
  assertEquals(choice(found, "supp").rankCorrelation, null);
});

Deno.test("effects() gives means with the standard error's width, the same every time", () => {
  const found = effects(rowsOf(PLANT_GROWTH), { of: "value", by: ["group"] });
  assertEquals(found.perLevel.map((l) => l.level), ["ctrl", "trt1", "trt2"]);
  // means as in R: 5.032, 4.661, 5.526; standard deviations 0.58309, 0.79367, 0.44257
  for (
    const [i, mean, deviation] of [[0, 5.032, 0.58309], [1, 4.661, 0.79367], [2, 5.526, 0.44257]] as const
  ) {
    const level = found.perLevel[i]!;
    assertAlmostEquals(level.mean, mean, 1e-9);
    // The resampled mean has standard error s sqrt((n - 1) / n) / sqrt(n); 1.96 of it either way.
    const half = 1.96 * deviation * Math.sqrt(9 / 10) / Math.sqrt(10);
    assertAlmostEquals(level.high - level.low, 2 * half, 0.12 * 2 * half);
    assert(level.low < level.mean && level.mean < level.high);
  }
  assertEquals(effects(rowsOf(PLANT_GROWTH), { of: "value", by: ["group"] }), found);
  const wide = effects(rowsOf(PLANT_GROWTH), { of: "value", by: ["group"], interval: 0.5, seed: 7 });
  assert(wide.perLevel[0]!.high < found.perLevel[0]!.high);
});

Deno.test("Cohen's d and ranks agree with worked examples", () => {
  // Two groups with means 4 and 2 and standard deviation 1 each: d = 2.
  const rows = [3, 4, 5].map((v) => ({ g: "a", v })).concat([1, 2, 3].map((v) => ({ g: "b", v })));
  assertAlmostEquals(choice(effects(rows, { of: "v", by: ["g"] }), "g").standardisedDifference!, 2, 1e-12);
  // Intelligence and hours of television, the worked example of Wikipedia's article on Spearman: -29/165.
  const iq = [106, 100, 86, 101, 99, 103, 97, 113, 112, 110];
  const hours = [7, 27, 2, 50, 28, 29, 20, 12, 6, 17];
  assertAlmostEquals(spearman(iq, hours)!, -29 / 165, 1e-12);
  assertEquals(ranksOf([1, 2, 2, 3]), [1, 2.5, 2.5, 4]);
  // R: cor(c(1, 2, 2, 3), c(1, 3, 2, 4), method = "spearman") 0.9486833, "kendall" 0.9128709
  assertAlmostEquals(spearman([1, 2, 2, 3], [1, 3, 2, 4])!, 0.9486833, 1e-7);
  assertAlmostEquals(kendall([1, 2, 2, 3], [1, 3, 2, 4])!, 0.9128709, 1e-7);
  assertAlmostEquals(kendall([1, 3, 2, 4], [1, 2, 2, 3])!, 0.9128709, 1e-7);
  assertAlmostEquals(kendall([1, 1, 2], [1, 2, 2])!, 0.5, 1e-12);
  assertEquals([kendall([1, 2, 3], [3, 2, 1]), kendall([1, 2], [5, 5]), spearman([5, 5], [1, 2])], [
    -1,
    null,
    null,
  ]);
});

/** A grid without gaps: settings with two choices and a figure each. */
const grids = fc.tuple(fc.integer({ min: 2, max: 4 }), fc.integer({ min: 2, max: 4 })).chain(([a, b]) =>
  fc.array(fc.integer({ min: -50, max: 50 }), { minLength: a * b, maxLength: a * b }).map((values) =>
    values.map((value, i) => ({ who: `group ${i % a}`, tempo: 60 + 10 * Math.floor(i / a), value }))
  )
).filter((rows) => new Set(rows.map((r) => r.value)).size > 1);

Deno.test("in a grid without gaps the shares of choices and combinations add up to 1", () => {
  fc.assert(fc.property(grids, (rows) => {
    const { perChoice, perLevel, whole } = effects(rows, { of: "value", samples: 20 });
    assertAlmostEquals(perChoice.reduce((sum, c) => sum + c.share, 0) + whole.combinations, 1, 1e-9);
    for (const c of perChoice) {
      assertAlmostEquals(c.ownShare, c.share, 1e-9);
      assert(c.share >= 0 && c.share <= 1 + 1e-12);
      assertAlmostEquals(c.difference, c.highestMean - c.lowestMean, 1e-12);
    }
    // The mean of the levels' means, weighted by their settings, is the mean of all.
    for (const { choice } of perChoice) {
      const own = perLevel.filter((l) => l.choice === choice);
      assertAlmostEquals(own.reduce((sum, l) => sum + l.difference * l.settings, 0), 0, 1e-7);
    }
  }));
});

Deno.test("another unit or another zero changes no share, and the order of rows changes nothing", () => {
  fc.assert(fc.property(grids, fc.integer({ min: 1, max: 9 }), (rows, factor) => {
    const plain = effects(rows, { of: "value", samples: 1 });
    const other = effects(rows.map((r) => ({ ...r, value: r.value * factor + 17 })), {
      of: "value",
      samples: 1,
    });
    const turned = effects(rows.toReversed(), { of: "value", samples: 1 });
    for (const c of plain.perChoice) {
      assertAlmostEquals(choice(other, c.choice).share, c.share, 1e-9);
      assertAlmostEquals(choice(turned, c.choice).share, c.share, 1e-9);
      assertAlmostEquals(choice(other, c.choice).difference, c.difference * factor, 1e-9);
    }
  }));
});

Deno.test("what only repeats another choice explains nothing of its own", () => {
  const rows = [1, 2, 3, 4, 5, 6].map((v) => ({
    who: v % 2,
    tempo: v % 2 === 0 ? 60 : 90,
    dynamic: v % 3,
    v,
  }));
  const found = effects(rows, { of: "v", by: ["who", "tempo", "dynamic"] });
  assertAlmostEquals(choice(found, "who").share, choice(found, "tempo").share, 1e-12);
  assertAlmostEquals(choice(found, "who").ownShare, 0, 1e-9);
  assert(choice(found, "dynamic").ownShare > 0.1);
});

Deno.test("effects() knows the order of dynamics, leaves refused settings out, and says what it comes to", () => {
  const rows = ["pp", "mf", "p to f"].flatMap((dynamic, i) =>
    ["horns", "violas"].map((who, w) => ({
      who,
      dynamic,
      sectionSize: 4,
      refused: null,
      momentum: [1, 3, 2][i]! + w / 100 as number | null,
    }))
  ).concat({ who: "tuba", dynamic: "pp", sectionSize: 4, refused: null, momentum: null });
  const found = effects(rows, { of: "momentum" });
  assertEquals(found.perChoice.map((c) => c.choice), ["dynamic", "who"]); // one section size explains nothing
  assertEquals([found.whole.settings, found.whole.leftOut], [6, 1]);
  assertAlmostEquals(choice(found, "dynamic").rankCorrelation!, 0.9561829, 1e-6); // pp < p to f < mf
  for (
    const words of [
      "Dynamic matters most for momentum: it explains 100 % of the differences between 6 settings",
      "(3 on average with mf, 1 with pp)",
      "Who hardly matters",
      "1 setting was refused or not measured and is left out",
    ]
  ) assertStringIncludes(found.conclusion, words);
});

Deno.test("effects() refuses what it cannot work on", () => {
  const rows = [{ who: "a", v: 1 }, { who: "b", v: 2 }];
  const refused = (run: () => unknown, words: string) =>
    assertStringIncludes((assertThrows(run, InputError) as InputError).message, words);
  refused(() => effects(rows, { of: "momentum" }), 'no column "momentum"');
  refused(() => effects([{ who: "a" }], { of: "momentum" }), 'no column "momentum"');
  refused(() => effects([], { of: "momentum" }), "only 0 of 0 rows");
  refused(() => effects([{ who: "a", v: null }, { who: "b", v: 2 }], { of: "v" }), "only 1 of 2 rows");
  refused(() => effects(rows.map((r) => ({ ...r, v: 1 })), { of: "v" }), "the same in all 2 settings");
  refused(() => effects(rows, { of: "v", by: ["tempo"] }), 'no column "tempo"');
  refused(() => effects(rows.map(({ v }) => ({ v })), { of: "v" }), "no choice takes more than one value");
  refused(() => effects(rows, { of: "v", per: ["who"] } as never), 'no option "per"');
  refused(() => effects({} as never, { of: "v" }), "a list of rows");
});

Deno.test("effects() give no ratio where nothing varies within the levels, and no difference between equal means", () => {
  const of = (groups: Groups) => choice(effects(rowsOf(groups), { of: "value", by: ["group"] }), "group");
  const exact = of({ a: [1, 1], b: [2, 2] });
  assertEquals([exact.fRatio, exact.standardisedDifference, exact.share], [null, null, 1]);
  const single = of({ a: [1], b: [2], c: [4] });
  assertEquals([single.fRatio, single.standardisedDifference, single.difference], [null, null, 3]);
  const equal = of({ a: [1, 3], b: [1, 3] });
  assertEquals([equal.standardisedDifference, equal.difference, equal.fRatio], [null, 0, 0]);
  // By hand: means 2 and 5, within 2 + 2 over two, between 9 over one; a deviation of √2 within.
  const two = of({ a: [1, 3], b: [4, 6] });
  assertAlmostEquals(two.fRatio!, 9 / 2, 1e-12);
  assertAlmostEquals(two.standardisedDifference!, 3 / Math.SQRT2, 1e-12);
});

Deno.test("where combinations are missing, what is a sum of choices is explained by them together, and each by what it adds", () => {
  const sum = [["horns", 60, 1], ["horns", 60, 1], ["horns", 120, 3], ["violas", 120, 3.5]] as const;
  const rows = sum.map(([who, tempo, v]) => ({ who, tempo, v }));
  const { whole, perChoice } = effects(rows, { of: "v" });
  assertAlmostEquals(whole.together, 1, 1e-9);
  // By hand: of 5.1875 squares the tempo alone leaves 2 · 0.25², who alone those of 1, 1 and 3 about 5/3.
  const own = Object.fromEntries(perChoice.map((c) => [c.choice, c.ownShare]));
  assertAlmostEquals(own["who"]!, 0.125 / 5.1875, 1e-9);
  assertAlmostEquals(own["tempo"]!, 24 / 9 / 5.1875, 1e-9);
});

Deno.test("where rounding ends and variance begins: a millionth of the standard deviation of all, a thousand millionth of means", () => {
  const of = (off: number) => {
    const rows = rowsOf({ a: [-1 - off, -1 + off], b: [1 - off, 1 + off] });
    return choice(effects(rows, { of: "value", by: ["group"], samples: 1 }), "group");
  };
  // Four squares of 1 in all, four of `off` within.
  assertEquals([0.95e-6, 1.22e-6].map((off) => of(off).fRatio === null), [true, false]);
  // The deviation within is √2 · off, that of all values 2.
  assertEquals([1.3e-9, 2e-9].map((off) => of(off).standardisedDifference === null), [true, false]);
  const [lone] = effects(rowsOf({ a: [1, 3], b: [5] }), { of: "value", by: ["group"] }).perChoice;
  assertAlmostEquals(lone!.standardisedDifference!, 3 / Math.SQRT2, 1e-12);
});

Deno.test("intervals are the middle of the means drawn: one value is its own, the middle of none is the median", () => {
  const { perLevel } = effects(rowsOf({ a: [1, 3], b: [5] }), { of: "value", by: ["group"], interval: 1e-6 });
  assertEquals(perLevel.map((l) => [l.low, l.high]), [[2, 2], [5, 5]]);
});

/** Eight settings of three choices, by how far each choice, and one with another, moves the value up and down from 100. */
function settingsOf(
  moves: { readonly tempo?: number; readonly size?: number; readonly who?: number; readonly both?: number },
) {
  const { tempo = 0, size = 0, who = 0, both = 0 } = moves;
  const signs = [-1, 1];
  return signs.flatMap((t) =>
    signs.flatMap((s) =>
      signs.map((w) => ({
        tempo: t < 0 ? 60 : 120,
        sectionSize: s < 0 ? 4 : 8,
        who: w < 0 ? "horns" : "violas",
        momentum: 100 + t * tempo + s * size + w * who + w * t * both as number | null,
      }))
    )
  );
}

Deno.test("effects() says in full what explains how much, down to a small effect of a hundredth (Cohen 1988)", () => {
  const of = (rows: readonly object[]) => effects(rows, { of: "momentum", samples: 1 }).conclusion;
  // Of 100 parts 81, 9, 1 and 9.
  assertEquals(
    of(settingsOf({ tempo: 9, size: 3, who: 1, both: 3 })),
    "Tempo matters most for momentum: it explains 81 % of the differences between 8 settings " +
      "(109 on average with 120, 91 with 60). Then section size (9 %), who (1 %). " +
      "9 % hang on how the choices are combined.",
  );
  const first = "Tempo matters most for momentum: it explains 100 % of the differences between 8 settings " +
    "(109 on average with 120, 91 with 60)";
  assertEquals(of(settingsOf({ tempo: 9 })), `${first}. Who and section size hardly matter.`);
  assertEquals(
    of(settingsOf({ tempo: 9 }).map(({ who: _who, ...row }) => row)),
    `${first}. Section size hardly matters.`,
  );
  assertEquals(
    of(settingsOf({ tempo: 9 }).map((r) => ({ tempo: r.tempo, momentum: r.momentum }))),
    `${first}.`,
  );
  const refused = settingsOf({ tempo: 9 }).slice(0, 2).map((row) => ({ ...row, momentum: null }));
  assertEquals(
    of([...settingsOf({ tempo: 9 }), ...refused]),
    `${first}. Who and section size hardly matter. 2 settings were refused or not measured and are left out, ` +
      "so the shares overlap where choices cannot be combined freely.",
  );
  assertStringIncludes(of(settingsOf({ both: 3 })), "it explains less than 1 % of the differences");
  assertStringIncludes(of(settingsOf({ tempo: 1, both: 11 })), "it explains 1 % of the differences");
  assertStringIncludes(
    of(settingsOf({ tempo: 9, size: 3, who: 3, both: 1 })),
    "Then who (9 %), section size (9 %). 1 % hang on how",
  );
  assertStringIncludes(
    of(settingsOf({ tempo: 9, size: 3 })),
    "Then section size (10 %). Who hardly matters.",
  );
});

Deno.test("a choice alone explains of its own what it explains; with one value, nothing and in no order", () => {
  const groups = { a: [1, 2, 3], b: [5] };
  const found = effects(rowsOf(groups), { of: "value", by: ["group"] });
  const group = choice(found, "group");
  assertEquals([group.ownShare, group.levels], [group.share, 2]);
  // A group of one has no spread: that of the others, over two degrees of freedom, counts. 3 is 3 deviations of 1.
  assertAlmostEquals(group.standardisedDifference!, 3, 1e-12);
  assertAlmostEquals(
    found.whole.standardDeviation,
    Math.sqrt((1.75 ** 2 + 0.75 ** 2 + 0.25 ** 2 + 2.25 ** 2) / 4),
    1e-12,
  );
  const rows = rowsOf(groups).map((row) => ({ ...row, tempo: 60 }));
  const tempo = choice(effects(rows, { of: "value", by: ["group", "tempo"] }), "tempo");
  assertEquals(
    [
      tempo.levels,
      tempo.share,
      tempo.fRatio,
      tempo.standardisedDifference,
      tempo.difference,
      tempo.rankCorrelation,
    ],
    [1, 0, null, null, 0, null],
  );
});

Deno.test("one sample is one mean at both ends; a choice without a value in a row is named with the columns", () => {
  const { perLevel } = effects(rowsOf(PLANT_GROWTH), { of: "value", by: ["group"], samples: 1 });
  for (const level of perLevel) assertEquals(level.low, level.high);
  const rows = [{ who: "a", v: 1 }, { who: null, v: 2 }];
  const { message } = assertThrows(() => effects(rows, { of: "v", by: ["who"] }), InputError) as InputError;
  assertStringIncludes(message, 'the column "who" holds null');
  assertStringIncludes(message, "Their columns are who, v");
});

Deno.test("what summing leaves of equal values is no variance, and real variance counts, in any unit", () => {
  // In floating point 0.1 + 0.2 is not quite 0.3.
  const groups = { a: [0.3, 0.1 + 0.2], b: [0.6, 0.6] };
  const real = { a: [1, 3], b: [4, 6] };
  for (const unit of [1e-6, 1, 1e6]) {
    const of = (which: Groups) => {
      const rows = rowsOf(which).map((row) => ({ ...row, value: row.value * unit }));
      return choice(effects(rows, { of: "value", by: ["group"] }), "group");
    };
    const [level, varied] = [of(groups), of(real)];
    assertEquals([level.fRatio, level.standardisedDifference], [null, null]);
    assertAlmostEquals(varied.fRatio!, 9 / 2, 1e-9);
    assertAlmostEquals(varied.standardisedDifference!, 3 / Math.SQRT2, 1e-9);
  }
});

Deno.test("effects() draws a thousand samples for intervals of 0.95 from seed 1, unless it is told otherwise", () => {
  const of = (options: object) => effects(rowsOf(PLANT_GROWTH), { of: "value", by: ["group"], ...options });
  assertEquals(of({}), of({ interval: 0.95, samples: 1000, seed: 1 }));
});
