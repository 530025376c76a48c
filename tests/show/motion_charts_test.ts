import { assert, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import { unzlibSync } from "fflate";
import type { Freshness, Momentum } from "ripieno";
import type { Attribution } from "ripieno/measures";
import type { BuildUpStep, FoundPlan } from "ripieno/orchestrate";
import {
  attackRateLadderChart,
  attributionChart,
  buildUpChart,
  type Chart,
  chartSvg,
  foundPlansChart,
  freshnessChart,
  selfSimilarityChart,
} from "ripieno/show";
import { ladderRates, ladderRungs } from "../../lib/show/charts/attack_rate_ladder.ts";
import { pngAddress } from "../../lib/show/drawing/png.ts";
import { drawn, words } from "./normalised.ts";
import { smallScore, smallStudy, smallTexture } from "./small_study.ts";
import { testCharts } from "./test_charts.ts";

const { momentum } = smallStudy;
const freshness: Freshness = {
  ...smallStudy.freshness,
  perBar: smallStudy.freshness.perBar.map((b) => ({ ...b, novelty: b.barIndex === 2 ? 0.7 : 0.05 })),
  similarity: [1, 0.9, 0.2, 0.3, 0.9, 1, 0.25, 0.2, 0.2, 0.25, 1, 0.8, 0.3, 0.2, 0.8, 1],
  expected: [{ barIndex: 1, bar: "2", fromBarIndex: 0, toBarIndex: 1, bars: 2 }],
};
const shares: Attribution = {
  by: "role",
  whole: { momentum: 2 },
  rows: [
    {
      name: "pulse",
      role: "pulse",
      contribution: 1.5,
      contributionError: 0,
      share: 0.75,
      alone: 1.8,
      takenAway: 1.2,
    },
    {
      name: "lead",
      role: "lead",
      contribution: 0.495,
      contributionError: 0.02,
      share: 0.2475,
      alone: 0.8,
      takenAway: 0.1,
    },
    {
      name: "pad",
      role: "pad",
      contribution: 0.005,
      contributionError: 0,
      share: 0.0025,
      alone: 0.01,
      takenAway: 0,
    },
  ],
  perBar: [],
  settings: {},
};

const step = { score: smallScore, texture: smallTexture, parts: 1, notes: 1 };
const steps: readonly BuildUpStep[] = [
  { ...step, step: 1, added: "lead", roles: ["lead"], momentum: 2, momentumGained: 2, audibleShare: 1 },
  { ...step, step: 2, added: "pad", roles: ["pad"], momentum: 1.5, momentumGained: -0.5, audibleShare: 0.6 },
  {
    ...step,
    step: 3,
    added: "pulse",
    roles: ["pulse"],
    momentum: 4.5,
    momentumGained: 3,
    audibleShare: null,
  },
];

const reached = { about: "momentum", short: 0 } as const;
const foundPlans: readonly FoundPlan[] = [1, 2].map((n) => ({
  plan: { name: `plan ${n}`, passages: [] },
  measures: {
    momentum: 3,
    audibleShare: n === 1 ? 0.61 : null,
    freshness: 0.42,
    contour: n === 1 ? 0.71 : null,
    findings: n,
  },
  shortfall: n / 10,
  reached: [
    { ...reached, wish: "Calm: momentum 1", passage: "Calm", wanted: 1, reached: 1.04, met: true },
    {
      ...reached,
      wish: "Rapids: momentum 5",
      passage: "Rapids",
      wanted: 5,
      reached: 5 - n,
      met: false,
      short: 0.2,
    },
  ],
  reasons: [],
  traded: [],
  otherwise: 1,
}));

const charts: Readonly<Record<string, () => Chart>> = {
  "attackRateLadderChart()": () => attackRateLadderChart(momentum, smallScore),
  "attributionChart()": () => attributionChart(shares),
  "buildUpChart()": () => buildUpChart(steps),
  "foundPlansChart()": () => foundPlansChart(foundPlans),
  "selfSimilarityChart()": () => selfSimilarityChart(freshness, smallScore),
  "freshnessChart() with a change that is due": () => freshnessChart(freshness, smallScore),
};

testCharts(charts, { width: null });

Deno.test("ladderRungs() stand at the note values' rates, one per tempo", () => {
  const of = (value: string) => ladderRungs(smallScore).filter((r) => r.value === value);
  // The small score goes at one tempo: its bars last two seconds and hold as many quarters as their ticks say.
  const quarters = smallScore.bars[0]!.durationTicks / smallScore.ticksPerQuarter / 2;
  assertEquals(of("quarters").map((r) => [r.perSecond, r.fromBarIndex, r.toBarIndex]), [[quarters, 0, 3]]);
  assertEquals(of("sixteenths").map((r) => r.perSecond), [4 * quarters]);
  const faster = {
    ...smallScore,
    tempos: [...smallScore.tempos, {
      onsetTicks: smallScore.bars[2]!.startTicks,
      quartersPerMinute: 2 * smallScore.tempos[0]!.quartersPerMinute,
      origin: "marked" as const,
    }],
  };
  const rungs = ladderRungs(faster).filter((r) => r.value === "eighths");
  assertEquals(rungs.map((r) => [r.perSecond, r.fromBarIndex, r.toBarIndex]), [[2 * quarters, 0, 1], [
    4 * quarters,
    2,
    3,
  ]]);
});

Deno.test("ladderRates() joins bars of one rate, takes the busiest layer that is heard, and tells the covered ones", () => {
  const row = (barIndex: number, onsetsPerSecond: number, audibility: number, layer = "a") => ({
    ...momentum.perLayer[0]!,
    barIndex,
    layer,
    role: "pulse" as const,
    onsetsPerSecond,
    audibility,
  });
  const perLayer = [row(0, 4, 1), row(1, 4, 1), row(1, 8, 0.2, "b"), row(2, 8, 0.3), row(3, 0, 1)];
  assertEquals(
    ladderRates({ ...momentum, perLayer }).map((r) => [r.perSecond, r.heard, r.fromBarIndex, r.toBarIndex]),
    [[4, true, 0, 1], [8, false, 2, 2]],
  );
});

Deno.test("attackRateLadderChart() draws a mark per run, pale where covered, and names its rungs and the limit", () => {
  const faint: Momentum = {
    ...momentum,
    perLayer: momentum.perLayer.map((l) => l.role === "lead" ? { ...l, audibility: 0.1 } : l),
  };
  const chart = attackRateLadderChart(faint, smallScore);
  assertEquals([drawn(chart, "rates"), drawn(chart, "covered-rates")], [2, 1]);
  for (const word of ["sixteenths", "eighths", "less than 100 ms apart: attacks fuse"]) {
    assert(words(chart).includes(word), word);
  }
  assertThrows(() => attackRateLadderChart(momentum, {} as never), Error, "not a score");
});

Deno.test("buildUpChart() draws what is there and what is new for each step, and how much of the lead is left", () => {
  const chart = buildUpChart(steps);
  for (const mark of ["so-far", "gained"]) assertEquals(drawn(chart, mark), 3, mark);
  assertEquals(drawn(chart, "heard"), 2, "nobody leads in the last step");
  const said = words(chart).join("\n");
  for (const text of ["lead", "+ pad", "+ pulse", "2.0", "1.5 (−0.5)", "4.5 (+3.0)", "60\u00a0%", "–"]) {
    assertStringIncludes(said, text);
  }
});

Deno.test("foundPlansChart() draws what was wanted and what was reached for each passage of each plan", () => {
  const chart = foundPlansChart(foundPlans);
  for (const mark of ["reached", "wanted"]) assertEquals(drawn(chart, mark), 4, mark);
  const said = words(chart).join("\n");
  for (
    const text of [
      "No plan meets every wish; the first misses 1 of 2 wishes",
      "plan 2",
      "1.0",
      "3.0, wanted 5",
    ]
  ) {
    assertStringIncludes(said, text);
  }
  assertStringIncludes(said, "lead heard alone, freshness 0.42, 2\u00a0findings");
  const unwished = foundPlans.map((p) => ({ ...p, reached: [] }));
  assertThrows(() => foundPlansChart(unwished), Error, "no momentum was wanted");
});

Deno.test("attributionChart() draws bar, ring and stroke per member, sums up the small ones, and states the error", () => {
  const chart = attributionChart(shares);
  for (const mark of ["contributions", "alone", "taken-away"]) assertEquals(drawn(chart, mark), 2, mark);
  assertEquals(chart.querySelectorAll(".legend-entry").length, 3);
  const said = words(chart).join("\n");
  assertStringIncludes(said, "1.50 (75 %)".replace(" %", "\u00a0%"));
  assertStringIncludes(said, "0.49 ± 0.02");
  assertStringIncludes(said, "1 more role with 0.01 in all");
  const nobody = attributionChart({ ...shares, rows: [], whole: { momentum: 0 } });
  assertEquals(/NaN|Infinity/.exec(chartSvg(nobody)), null);
});

Deno.test("selfSimilarityChart() is one picture however many bars, darkest along the diagonal", () => {
  const n = 400;
  const long: Freshness = {
    ...freshness,
    perBar: Array.from(
      { length: n },
      (_, barIndex) => ({ ...freshness.perBar[0]!, barIndex, bar: String(barIndex + 1) }),
    ),
    similarity: Array.from({ length: n * n }, (_, k) => k % (n + 1) === 0 ? 1 : (k % 7) / 10),
  };
  const chart = selfSimilarityChart(long);
  assertEquals(chart.querySelectorAll("image").length, 1);
  assertEquals(chart.getAttribute("width"), "640");
  assert(chartSvg(chart).length < 400_000);
  assertEquals(/NaN/.exec(chartSvg(selfSimilarityChart({ ...freshness, perBar: [], similarity: [] }))), null);
});

Deno.test("freshnessChart() marks where a change is due", () => {
  assertEquals(drawn(freshnessChart(freshness, smallScore), "expected"), 1);
  assert(words(freshnessChart(freshness, smallScore)).includes("a change would be expected, and none comes"));
  assert(!words(freshnessChart(smallStudy.freshness, smallScore)).join(" ").includes("expected"));
});

Deno.test("pngAddress() holds the pixels it was given, as the PNG specification lays them out", () => {
  const rows = [[0, 0, 0, 255, 10, 0, 5, 255], [0, 20, 0, 255, 10, 20, 5, 255], [
    0,
    40,
    0,
    0,
    10,
    40,
    5,
    255,
  ]];
  const address = pngAddress({ width: 2, height: 3, data: Uint8ClampedArray.from(rows.flat()) });
  const bytes = Uint8Array.from(atob(address.slice(address.indexOf(",") + 1)), (c) => c.charCodeAt(0));
  assertEquals([...bytes.slice(0, 8)], [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  const view = new DataView(bytes.buffer);
  const chunks: Record<string, { data: Uint8Array; checksum: number }> = {};
  for (let at = 8; at < bytes.length;) {
    const length = view.getUint32(at);
    const name = String.fromCharCode(...bytes.slice(at + 4, at + 8));
    chunks[name] = { data: bytes.slice(at + 8, at + 8 + length), checksum: view.getUint32(at + 8 + length) };
    at += 12 + length;
  }
  assertEquals(Object.keys(chunks), ["IHDR", "IDAT", "IEND"]);
  // Every PNG file ends in the same chunk, whose checksum the specification's examples print.
  assertEquals(chunks["IEND"]!.checksum, 0xae426082);
  assertEquals([...chunks["IHDR"]!.data.slice(0, 8)], [0, 0, 0, 2, 0, 0, 0, 3]);
  const pixels = unzlibSync(chunks["IDAT"]!.data);
  assertEquals([...pixels], rows.flatMap((row) => [0, ...row])); // each line begins with its filter: none
});

Deno.test("attackRateLadderChart() stands clear of the axis at the foot, however slow the tempo", () => {
  for (const perSecond of [0.09, 0.24, 0.6, 4]) {
    const perLayer = momentum.perLayer.map((l) => ({ ...l, onsetsPerSecond: perSecond }));
    const chart = attackRateLadderChart({ ...momentum, perLayer }, smallScore, { height: 340 });
    const bottoms = [...chart.querySelectorAll(".rates rect,.covered-rates rect")].map((r) =>
      Number(r.getAttribute("y")) + Number(r.getAttribute("height"))
    );
    assert(bottoms.length > 0);
    assert(Math.max(...bottoms) < 336, `${Math.max(...bottoms)} at ${perSecond} a second`);
  }
});
