/** Sensitivity: rows that agree with the measures themselves, rankings that flip and rankings that hold. */
import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertMatch,
  assertStringIncludes,
  assertThrows,
} from "@std/assert";
import { balance, freshness, InputError, momentum, type Score, sensitivity } from "ripieno";
import { contour, FRESHNESS_CONSTANTS, MOMENTUM_CONSTANTS, type SensitivityOptions } from "ripieno/measures";
import { type Line, type LineNote, smallScore } from "../small_scores.ts";

/** A held pad, and an oboe that repeats or slurs. */
const settingOf = (step: number, slurred: boolean, more: Partial<LineNote> = {}): Score => {
  const count = 8 / step;
  const moving: Line = {
    instrument: "oboe",
    role: "pulse",
    notes: Array.from({ length: count }, (_, i) => ({
      at: i * step,
      quarters: step,
      pitch: 72 + (slurred ? i % 3 : 0),
      slurred: slurred && i > 0,
      ...more,
    })),
  };
  const pad: Line = { instrument: "cello", role: "pad", notes: [{ at: 0, quarters: 8, pitch: 48 }] };
  return smallScore([moving, pad]);
};

/** Sixteenths under a slur against eighths that are tongued: near enough that the weight of a slur decides. */
const CLOSE = { slurred: settingOf(0.25, true), tongued: settingOf(0.5, false) };
/** Quarters against sixteenths, both tongued: nothing to be in doubt about. */
const CLEAR = { quarters: settingOf(1, false), sixteenths: settingOf(0.25, false) };

Deno.test("sensitivity() calls a ranking fragile that the weight of a slur turns round, and says at which value", () => {
  const found = sensitivity(CLOSE, { measures: ["momentum"] });
  const rows = found.rows.filter((r) => r.constant === "slurredStrength");
  assertEquals(rows.map((r) => [r.factor, r.value, r.usual]), [[0.5, 0.2, 0.4], [
    1.5,
    0.6000000000000001,
    0.4,
  ]]);
  const direct = (score: Score, slurredStrength: number) =>
    momentum(score, { constants: { slurredStrength } }).whole.momentum;
  const usual = { slurred: direct(CLOSE.slurred, 0.4), tongued: direct(CLOSE.tongued, 0.4) };
  const first = usual.slurred > usual.tongued ? "slurred" : "tongued";
  assertEquals(found.usual, [{
    measure: "momentum",
    first,
    lead: Math.abs(usual.slurred - usual.tongued) / Math.max(usual.slurred, usual.tongued),
  }]);
  const flips = rows.filter((r) => r.isFirstChanged);
  assertEquals(flips.length, 1);
  const [flip] = flips;
  assertEquals(flip!.kendall, -1);
  assertAlmostEquals(flip!.spearman!, -1, 1e-12);
  assert(flip!.lead! < 0);
  assert(direct(CLOSE.slurred, 0.2) < direct(CLOSE.tongued, 0.2), "halved, the slurred one falls behind");
  assert(direct(CLOSE.slurred, 0.6) > direct(CLOSE.tongued, 0.6), "raised, it comes first");
  assertStringIncludes(
    found.conclusions[0]!,
    `Momentum: fragile: “${first}” comes first, but “${flip!.first}” with slurredStrength at`,
  );
});

Deno.test("sensitivity() lets a clear ranking hold", () => {
  const { conclusions, rows } = sensitivity(CLEAR, { measures: ["momentum"] });
  assertStringIncludes(
    conclusions[0]!,
    "Momentum: holds: “sixteenths” comes first whichever constant moves by 50 %",
  );
  assert(rows.every((r) => r.kendall === 1 && !r.isFirstChanged && r.lead! > 0));
  const names = new Set(rows.map((r) => r.constant));
  for (const name of Object.keys(MOMENTUM_CONSTANTS)) assert(names.has(name), name);
  assert(names.has("hallStrengthDb") && !names.has("gridStepCam"));
});

Deno.test("every value of sensitivity() is what the measure gives with that constant", () => {
  const found = sensitivity(CLOSE, {
    by: 0.3,
    constants: ["regularityWeight", "halfLifeBars", "accentSteps", "hallStrengthDb"],
  });
  const scores: Readonly<Record<string, Score>> = CLOSE;
  for (const row of found.rows) {
    assertAlmostEquals(row.value, row.usual * row.factor, 1e-12);
    const constants = { [row.constant]: row.value };
    for (
      const v of found.perSetting.filter((v) => v.measure === row.measure && v.constant === row.constant)
    ) {
      if (v.factor !== row.factor) continue;
      const score = scores[v.setting]!;
      const direct = row.measure === "freshness"
        ? freshness(score, { constants }).whole.freshness
        : row.measure === "audibleShare"
        ? balance(score, { constants }).whole.audibleShare ?? 0
        : row.measure === "contour"
        ? contour(score, { balance: balance(score, { constants }) }).whole.contour ?? 0
        : momentum(
          score,
          row.table === "balance" ? { balance: balance(score, { constants }) } : { constants },
        ).whole
          .momentum;
      assertEquals(v.whole, direct, `${row.measure}, ${row.constant}, ${v.setting}`);
    }
  }
  assertEquals(found.by, 0.3);
  assertEquals(
    new Set(found.rows.map((r) => r.measure)),
    new Set(["momentum", "freshness", "audibleShare", "contour"]),
  );
  // The usual values come first, ranked from the highest.
  const usual = found.perSetting.filter((v) => v.constant === null && v.measure === "momentum");
  assertEquals(usual.map((v) => v.rank).toSorted(), [1, 2]);
});

Deno.test("strengths and shares end at 1, and what is 0 does not move", () => {
  const { rows } = sensitivity(CLEAR, { by: 0.9, measures: ["momentum"] });
  const broad = rows.filter((r) => r.constant === "broadStrength").map((r) => r.value);
  assertAlmostEquals(broad[0]!, 0.08, 1e-12);
  assertEquals(broad[1], 1);
  assert(rows.every((r) => r.value !== r.usual));
});

Deno.test("sensitivity() says so where there is no order", () => {
  const alone = sensitivity([CLEAR.quarters], { constants: ["rateWeight"], measures: ["momentum"] });
  assertEquals([alone.rows[0]!.kendall, alone.rows[0]!.lead, alone.rows[0]!.isFirstChanged], [
    null,
    null,
    false,
  ]);
  assert(alone.rows[0]!.level < 1 && alone.rows[1]!.level > 1);
  assertStringIncludes(alone.conclusions[0]!, "with one setting there is no order");
  const same = sensitivity({ one: CLEAR.quarters, other: CLEAR.quarters }, { measures: ["momentum"] });
  assertStringIncludes(same.conclusions[0]!, "nobody is ahead");
  assert(same.rows.every((r) => !r.isFirstChanged));
});

Deno.test("sensitivity() refuses what it cannot try", () => {
  const refused = (settings: unknown, options: SensitivityOptions, words: string) =>
    assertStringIncludes(
      (assertThrows(() => sensitivity(settings as Score[], options), InputError) as InputError).message,
      words,
    );
  refused([], {}, "there are no settings");
  refused([CLEAR.quarters, CLEAR.sixteenths], {}, 'two settings are called "made by the test"');
  refused(CLEAR, { by: 1.5 }, '"by" needs a share between 0 and 1');
  refused(CLEAR, { constants: ["swing"] }, '"swing" is not a constant');
  refused(CLEAR, { measures: ["swing" as "momentum"] }, '"measures" needs one or more of momentum');
  refused(CLEAR, { how: 1 } as never, 'no option "how"');
  assertEquals(Object.keys(FRESHNESS_CONSTANTS).includes("halfLifeBars"), true);
});

Deno.test("sensitivity() refuses to rank by nothing; where all is silent nothing changes", () => {
  assertThrows(() => sensitivity(CLOSE, { measures: [] }), InputError, "one or more of");
  const silent = smallScore([{ instrument: "oboe", role: "pulse", notes: [] }]);
  const { rows } = sensitivity({ one: silent, other: silent }, {
    measures: ["momentum"],
    constants: ["slurredStrength"],
  });
  assertEquals(rows.map((r) => [r.level, r.isFirstChanged]), rows.map(() => [1, false]));
});

Deno.test("sensitivity() tells three settings that would come first, and counts the rest", () => {
  const near = { slurred: CLOSE.slurred, tongued: settingOf(0.5, false, { dynamic: 4.1 }) };
  const turning = ["slurredStrength", "halfForceDynamic", "fusionSeconds", "rateWeight", "regularityWeight"];
  const said = (count: number) => {
    const options = { by: 0.95, measures: ["momentum"], constants: turning.slice(0, count) } as const;
    const { conclusions, rows } = sensitivity(near, options);
    assertEquals(rows.filter((r) => r.isFirstChanged).length, count);
    return conclusions[0]!.slice("Momentum: fragile: “slurred” comes first, but ".length);
  };
  const first = "“tongued” with slurredStrength at 0.02 instead of 0.4";
  const three = `${first}, “tongued” with halfForceDynamic at 0.25 instead of 5, ` +
    "“tongued” with fusionSeconds at 0.195 instead of 0.1";
  assertEquals([1, 3, 4, 5].map(said), [
    `${first}.`,
    `${three}.`,
    `${three} and 1 more.`,
    `${three} and 2 more.`,
  ]);
});

Deno.test("who usually comes first stays there where another only draws level, at the end of a constant's range", () => {
  const settings = {
    broad: settingOf(0.5, false, { articulations: ["tenuto"] }),
    tongued: settingOf(0.5, false),
  };
  const { rows, conclusions } = sensitivity(settings, {
    measures: ["momentum"],
    constants: ["broadStrength"],
  });
  assertEquals(rows.map((r) => [r.value, r.first, r.isFirstChanged, r.isAtLimit]), [
    [0.4, "tongued", false, false],
    [1, "tongued", false, true],
  ]);
  assertEquals(rows[1]!.lead, 0);
  assertEquals(
    conclusions[0]!.replace(/its lead of \d+ %/, "its lead"),
    "Momentum: holds: “tongued” comes first whichever constant moves by 50 % (broadStrength no further than 1), " +
      "and the whole order stays; its lead is narrowest, 0 %, with broadStrength at 1.",
  );
});

Deno.test("places behind the first that change are told with their constant; of equal leads the first is named", () => {
  const settings = { fast: settingOf(0.125, false), ...CLOSE };
  const { rows, conclusions } = sensitivity(settings, {
    measures: ["momentum", "freshness"],
    constants: ["tremoloStrength", "slurredStrength"],
  });
  const [first, ...others] = Object.values(settings).map((score) => momentum(score).whole.momentum);
  assertAlmostEquals(
    sensitivity(settings, { measures: ["momentum"], constants: [] }).usual[0]!.lead!,
    1 - Math.max(...others) / first!,
    1e-12,
    "ahead of the best other one",
  );
  // Of three pairs two agree and one is turned round.
  const turned = rows.filter((r) => r.kendall !== 1);
  assertEquals(turned.map((r) => [r.constant, r.factor, r.isFirstChanged]), [[
    "slurredStrength",
    1.5,
    false,
  ]]);
  assertAlmostEquals(turned[0]!.kendall!, (2 - 1) / 3, 1e-12);
  assertStringIncludes(conclusions[0]!, ", though places behind it change with slurredStrength; its lead of");
  assertEquals(conclusions[1], "Freshness: no constant was moved.");
  // Nobody slurs and nobody has a tremolo: nothing changes.
  const still = sensitivity(CLEAR, {
    measures: ["momentum"],
    constants: ["tremoloStrength", "slurredStrength"],
  });
  assertEquals(new Set(still.rows.map((r) => r.lead)), new Set([still.usual[0]!.lead]));
  assertMatch(
    still.conclusions[0]!,
    /its lead of (\d+) % is narrowest, \1 %, with slurredStrength at 0\.2\.$/,
  );
});

Deno.test("sensitivity() ranks by 0 where a measure has nothing to say, equals side by side, and tells levels as ratios", () => {
  const nobody = { one: CLEAR.quarters, other: CLEAR.sixteenths };
  const constants = ["twoEarsDb", "rateWeight"];
  const { perSetting, usual, rows } = sensitivity(nobody, {
    measures: ["momentum", "audibleShare", "contour"],
    constants,
  });
  for (const v of perSetting.filter((v) => v.measure !== "momentum")) assertEquals([v.whole, v.rank], [0, 1]);
  assertEquals(usual.slice(1).map((u) => [u.first, u.lead]), [["one", 0], ["one", 0]]);
  // Of silence nothing was counted.
  const silence = smallScore([{ instrument: "oboe", role: "pad", notes: [] }]);
  const idioms = sensitivity({ silence, other: CLEAR.quarters }, { measures: ["idiom"], constants: [] });
  assertEquals(idioms.perSetting.map((v) => v.rank), [2, 1]);
  assertEquals(idioms.perSetting[0]!.whole, 0);
  const sumOf = (constant: string | null, factor: number) =>
    perSetting.filter((v) => v.measure === "momentum" && v.constant === constant && v.factor === factor)
      .reduce((sum, v) => sum + v.whole, 0);
  for (const row of rows.filter((r) => r.measure === "momentum")) {
    assertAlmostEquals(row.level, sumOf(row.constant, row.factor) / sumOf(null, 1), 1e-12);
  }
});

Deno.test("settings that draw level have an order where a constant sets them apart", () => {
  const chord = (...pitches: readonly number[]) =>
    smallScore(pitches.map((pitch, i): Line => ({
      instrument: "cello",
      role: "pad",
      layer: "pad",
      name: `Cello ${i + 1}`,
      notes: [{ at: 0, quarters: 8, pitch }],
    })));
  // 17 semitones over the bass are no hole where 19 are allowed, and one where half of that are.
  const [open, close] = [chord(36, 53), chord(48, 53)];
  const of = (settings: Readonly<Record<string, Score>>) =>
    sensitivity(settings, { measures: ["fullness"], constants: ["overBassSemitones"] });
  const fragile = of({ open, close });
  assertEquals(fragile.usual[0], { measure: "fullness", first: "open", lead: 0 });
  assertEquals(
    fragile.conclusions[0],
    "Fullness: fragile: “open” comes first, but “close” with overBassSemitones at 9.5 instead of 19.",
  );
  const held = of({ close, open });
  assertEquals(held.rows.map((r) => [r.factor, r.first, r.lead]), [[0.5, "close", 1 - 9.5 / 17], [
    1.5,
    "close",
    0,
  ]]);
  assertStringIncludes(held.conclusions[0]!, "Fullness: holds: “close” comes first");
});

Deno.test("sensitivity() says what it takes for settings", () => {
  for (const wrong of [3, null, "score", true]) {
    assertThrows(() => sensitivity(wrong as never), InputError, "scores in a list, or by name");
  }
  assertThrows(() => sensitivity(CLEAR.quarters as never), InputError, "Write it in a list: [score]");
  const unnamed = [CLEAR.quarters, CLEAR.sixteenths].map((score) => ({ ...score, source: "" }));
  const { perSetting } = sensitivity(unnamed, { measures: ["momentum"], constants: ["rateWeight"] });
  assertEquals(perSetting.slice(0, 2).map((v) => v.setting), ["setting 1", "setting 2"]);
});
