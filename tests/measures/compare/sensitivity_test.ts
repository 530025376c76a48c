/** Sensitivity: rows that agree with the measures themselves, rankings that flip and rankings that hold. */
import { assert, assertAlmostEquals, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import { balance, freshness, InputError, momentum, type Score, sensitivity } from "ripieno";
import { contour, FRESHNESS_CONSTANTS, MOMENTUM_CONSTANTS, type SensitivityOptions } from "ripieno/measures";
import { type Line, smallScore } from "../small_scores.ts";

/** A held pad, and an oboe that repeats or slurs. */
const settingOf = (step: number, slurred: boolean): Score => {
  const count = 8 / step;
  const moving: Line = {
    instrument: "oboe",
    role: "pulse",
    notes: Array.from({ length: count }, (_, i) => ({
      at: i * step,
      quarters: step,
      pitch: 72 + (slurred ? i % 3 : 0),
      slurred: slurred && i > 0,
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
