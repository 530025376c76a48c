import { assert, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import { effects, InputError } from "ripieno";
import type { Sensitivity, SensitivityRow } from "ripieno/measures";
import { type Chart, chartSvg, effectsChart, sensitivityChart, sweepChart } from "ripieno/show";
import { drawn, words } from "./normalised.ts";
import { testCharts } from "./test_charts.ts";

/** Settings made up for the picture: quicker and louder is more, horns cannot do the quickest. */
const rows = ["violas", "horns"].flatMap((who) =>
  [60, 90, 150].flatMap((tempo) =>
    ["p", "f"].map((dynamic, d) => ({
      who,
      tempo,
      dynamic,
      momentum: who === "horns" && (tempo === 150 || tempo === 90 && d === 1)
        ? null
        : tempo / 30 + d / 2 + (who === "violas" ? 0.25 : 0),
    }))
  )
);

const row = (constant: string, factor: number, lead: number): SensitivityRow => ({
  measure: "momentum",
  table: "momentum",
  constant,
  factor,
  value: 0.4 * factor,
  usual: 0.4,
  unit: "weight",
  spearman: lead < 0 ? -1 : 1,
  kendall: lead < 0 ? -1 : 1,
  first: lead < 0 ? "other" : "mine",
  isFirstChanged: lead < 0,
  lead,
  level: 1,
});

const sensitivity: Sensitivity = {
  by: 0.5,
  rows: [
    row("rateWeight", 0.5, 0.1),
    row("rateWeight", 1.5, 0.1),
    row("regularityWeight", 0.5, 0.08),
    row("regularityWeight", 1.5, 0.12),
    row("slurredStrength", 0.5, 0.22),
    row("slurredStrength", 1.5, -0.05),
  ],
  perSetting: [],
  usual: [{ measure: "momentum", first: "mine", lead: 0.1 }],
  conclusions: [],
};

const charts: Readonly<Record<string, () => Chart>> = {
  "sweepChart()": () => sweepChart(rows, { x: "tempo", y: "who", of: "momentum" }),
  "effectsChart()": () => effectsChart(effects(rows, { of: "momentum" })),
  "sensitivityChart()": () => sensitivityChart(sensitivity),
};

testCharts(charts);

Deno.test("sweepChart() has a figure in every cell, darker for more, and says what was refused", () => {
  const chart = sweepChart(rows, { x: "tempo", y: "who", of: "momentum" });
  assertEquals(drawn(chart, "cells"), 6);
  const said = words(chart);
  // violas at 60: 2.25 and 2.75; horns at 90: 3 and refused; horns at 150: both refused
  for (const word of ["2.50", "3.00", "refused", "1 refused", "violas", "horns", "60", "150", "tempo"]) {
    assert(said.includes(word), word);
  }
  assertStringIncludes(said.join(" "), "12\u00a0settings, 3 of them refused");
  const svg = chartSvg(chart);
  assertStringIncludes(svg, "<title>violas, 60: 2.50, mean of 2\u00a0settings from 2.25 to 2.75</title>");
  assertStringIncludes(svg, "<title>horns, 150: all 2 refused</title>");
  // Lightness falls as the figures rise: 2.25, 2.5, 3, 3.5, 5.5.
  const cells = [...chart.querySelectorAll(".cells rect")].map((rect) => ({
    figure: Number(rect.textContent.match(/: ([\d.]+), mean/)?.[1]),
    grey: (rect.getAttribute("fill")!.match(/\d+/g) ?? []).reduce((sum, v) => sum + Number(v), 0),
  })).filter((c) => !Number.isNaN(c.figure)).sort((a, b) => a.figure - b.figure);
  assertEquals(cells.length, 5);
  cells.slice(1).forEach((c, i) => assert(c.grey < cells[i]!.grey));
});

Deno.test("sweepChart() draws one table per value of a third choice, on one scale", () => {
  const chart = sweepChart(rows, { x: "tempo", y: "who", of: "momentum", panels: "dynamic" });
  assertEquals(chart.querySelectorAll("[aria-label=table]").length, 2);
  assert(words(chart).includes("dynamic: p") && words(chart).includes("dynamic: f"));
  assertEquals(drawn(chart, "cells"), 12);
});

Deno.test("sweepChart() says what it cannot draw", () => {
  const refused = (run: () => unknown, part: string) =>
    assertStringIncludes((assertThrows(run, InputError) as InputError).message, part);
  refused(() => sweepChart([], { x: "tempo", y: "who", of: "momentum" }), "no rows");
  refused(() => sweepChart(rows, { x: "tempo", y: "who" } as never), "what of is");
  refused(() => sweepChart(rows, { x: "tempo", y: "whom", of: "momentum" }), 'no column "whom"');
  refused(
    () => sweepChart(rows, { x: "tempo", y: "who", of: "momentum", panels: "mood" }),
    'no column "mood"',
  );
  refused(() => sweepChart(rows, { x: "tempo", y: "who", of: "dynamic" }), "no setting has a figure");
  refused(() => effectsChart({} as never), "was not given effects");
  refused(() => sensitivityChart({} as never), "was not given a sensitivity");
  refused(() => sensitivityChart(sensitivity, { measure: "freshness" }), 'by "freshness" was not looked at');
});

Deno.test("effectsChart() draws a share per choice and a mean per value", () => {
  const found = effects(rows, { of: "momentum" });
  const chart = effectsChart(found);
  const shares = [...chart.querySelectorAll(".shares rect")].map((r) => Number(r.getAttribute("width")));
  assertEquals(shares.length, 3);
  assertEquals(shares, shares.toSorted((a, b) => b - a));
  assert(Math.abs(shares[1]! / shares[0]! - found.perChoice[1]!.share / found.perChoice[0]!.share) < 1e-9);
  const means = [...chart.querySelectorAll(".means circle")].map((c) => Number(c.getAttribute("cx")));
  assertEquals(means.length, 7);
  const levels = found.perChoice.flatMap((c) => found.perLevel.filter((l) => l.choice === c.choice));
  const at = (mean: number) => (mean - levels[0]!.mean) / (levels[1]!.mean - levels[0]!.mean);
  means.forEach((x, i) =>
    assert(Math.abs((x - means[0]!) / (means[1]! - means[0]!) - at(levels[i]!.mean)) < 1e-9)
  );
  for (const word of ["tempo", "who", "dynamic", "violas", "60"]) assert(words(chart).includes(word), word);
});

Deno.test("effectsChart() has round values at both ends of its axis, beyond every interval", () => {
  for (const width of [400, 960, 1200]) {
    const chart = effectsChart(effects(rows, { of: "momentum" }), { width });
    const placesOf = (name: string) =>
      [...chart.querySelectorAll(`.${name} line`)].flatMap((l) =>
        ["x1", "x2"].map((x) => Number(l.getAttribute(x)))
      );
    const [grid, ends] = [placesOf("grid"), placesOf("intervals")];
    assert(grid.length >= 6, `${grid.length} ends of lines in ${width} pixels`);
    assertEquals(ends.length, 14);
    assert(Math.min(...ends) >= Math.min(...grid) - 0.01 && Math.max(...ends) <= Math.max(...grid) + 0.01);
  }
});

Deno.test("sensitivityChart() puts what matters most on top and marks where another setting comes first", () => {
  const chart = sensitivityChart(sensitivity);
  assertEquals(words(chart).filter((w) => /weight|strength/.test(w)), [
    "slurred strength",
    "regularity weight",
  ]);
  assertEquals(drawn(chart, "bars"), 4);
  assertEquals(drawn(chart, "flips"), 1);
  assertEquals(chart.querySelectorAll(".legend-entry .flip").length, 1);
  assertStringIncludes(words(chart).join(" "), "Fragile: 1\u00a0change would put another setting first.");
  assertStringIncludes(words(chart).join(" "), "1\u00a0more constant matters less.");
  assertStringIncludes(chartSvg(chart), "slurredStrength at 0.6 instead of 0.4");
  assertStringIncludes(chartSvg(chart), "other comes first");
  const alone: Sensitivity = {
    ...sensitivity,
    rows: sensitivity.rows.map((r) => ({
      ...r,
      lead: null,
      isFirstChanged: false,
      level: 1 + (r.factor - 1) / 5,
    })),
    usual: [{ measure: "momentum", first: "mine", lead: null }],
  };
  assertStringIncludes(words(sensitivityChart(alone)).join(" "), "One setting: how much its value changes.");
});
