import { assert, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import { compare, InputError, type Score, type Texture } from "ripieno";
import {
  balanceChart,
  type Chart,
  chartSvg,
  comparisonChart,
  contourChart,
  freshnessChart,
  fullnessChart,
  idiomChart,
  layersChart,
  loudnessShareChart,
  maskingChart,
  momentSoundChart,
  momentumChart,
  momentumComparisonChart,
  playabilityChart,
  roleTimelineChart,
} from "ripieno/show";
import { drawn, words } from "./normalised.ts";
import { smallMasking, smallMoment, smallScore, smallStudy, smallTexture } from "./small_study.ts";
import { testCharts } from "./test_charts.ts";

const { momentum, balance, freshness, playability } = smallStudy;
const rows = compare([smallStudy, { ...smallStudy, name: "other" }]);

const charts: Readonly<Record<string, () => Chart>> = {
  "roleTimelineChart()": () => roleTimelineChart(smallScore, smallTexture),
  "momentumChart()": () => momentumChart(momentum, smallScore),
  "balanceChart()": () => balanceChart(balance, smallScore),
  "loudnessShareChart()": () => loudnessShareChart(balance, smallScore),
  "maskingChart()": () => maskingChart(smallMasking),
  "momentSoundChart()": () => momentSoundChart(smallMoment),
  "freshnessChart()": () => freshnessChart(freshness, smallScore),
  "contourChart()": () => contourChart(smallStudy.contour, smallScore),
  "fullnessChart()": () => fullnessChart(smallStudy.fullness, smallScore),
  "idiomChart()": () => idiomChart(smallStudy.idiom!, smallScore),
  "playabilityChart()": () => playabilityChart(playability, smallScore),
  "comparisonChart()": () => comparisonChart(rows),
  "momentumComparisonChart()": () => momentumComparisonChart([smallStudy, smallStudy], smallScore),
  "layersChart()": () => layersChart(smallScore, smallTexture, { fromBarIndex: 1, toBarIndex: 2 }),
};

testCharts(charts);

Deno.test("roleTimelineChart() draws one mark per run of a role and leaves silence empty", () => {
  const chart = roleTimelineChart(smallScore, smallTexture);
  // flute: lead, run; horn: pad, lead; cellos: bass, pulse
  assertEquals(drawn(chart, "roles"), 6);
  assertEquals(drawn(chart, "role-names"), 6);
  for (const word of ["Flute 1", "Horn 1", "Cellos", "lead", "pulse", "Dawn", "Noon", "0:02"]) {
    assert(words(chart).includes(word), word);
  }
  assert(chartSvg(chart).includes("<title>Cellos, bars 2–4: pulse (held chord)</title>"));
});

Deno.test("charts count one thing as one, and say what the handbook counts", () => {
  const one = { ...smallScore, bars: smallScore.bars.slice(0, 1), parts: smallScore.parts.slice(0, 1) };
  const cells = smallTexture.cells.slice(0, 1);
  const charts = [
    roleTimelineChart(one, { ...smallTexture, cells }),
    momentumChart({ ...momentum, perBar: momentum.perBar.slice(0, 1) }),
    freshnessChart({ ...freshness, perBar: freshness.perBar.slice(0, 1) }),
    playabilityChart({ ...playability, findings: [] }, one),
  ];
  const said = charts.map((c) => `${c.getAttribute("aria-label")} ${words(c).join(" ")}`).join(" ");
  assertEquals(/\b1.(bars|parts|change points|notes|findings)\b/.exec(said)?.[0], undefined);
  const legend = words(balanceChart(balance, smallScore)).join(" ");
  assertStringIncludes(legend, "count players at one dynamic and ignore who is marked louder");
});

Deno.test("charts lay a texture once per role, so that a long score stays light on paper", () => {
  const bars = Array.from({ length: 300 }, (_, i) => ({ ...momentum.perBar[0]!, barIndex: i }));
  const long = {
    ...momentum,
    perBar: bars,
    perLayer: bars.flatMap(({ barIndex }) => momentum.perLayer.slice(0, 2).map((l) => ({ ...l, barIndex }))),
  };
  const chart = momentumChart(long);
  const textured = [...chart.querySelectorAll("[fill^=url]")].filter((e) => !e.closest(".legend-entry"));
  assertEquals(textured.map((e) => e.tagName.toLowerCase()), ["path", "path"]); // lead and bass
  assertEquals(textured.map((e) => e.getAttribute("d")?.match(/M/g)?.length), [300, 300]);
  assertEquals(drawn(chart, "shares-by-role"), 600); // one thing to point at per bar and role
  assertEquals(chart.querySelectorAll(".shares-by-role title").length, 600);
});

Deno.test("roleTimelineChart() names no role where the word does not fit, and draws it all the same", () => {
  const bars = Array.from({ length: 500 }, (_, i) => ({
    ...smallScore.bars[0]!,
    number: String(i + 1),
    startTicks: i * 16,
  }));
  const parts = Array.from({ length: 30 }, (_, i) => ({ ...smallScore.parts[i % 3]!, id: `P${i}` }));
  const texture: Texture = {
    ...smallTexture,
    cells: bars.flatMap((_, barIndex) =>
      parts.map((_, part) => ({
        ...smallTexture.cells[0]!,
        barIndex,
        part,
        role: barIndex < 100 ? "pad" as const : barIndex % 2 === 0 ? "lead" as const : "pulse" as const,
      }))
    ),
  };
  const chart = roleTimelineChart({ ...smallScore, bars, parts }, texture);
  assertEquals(drawn(chart, "roles"), 30 * 401); // a hundred bars of pad are one mark
  assertEquals(drawn(chart, "role-names"), 30);
});

Deno.test("momentumChart() stacks the roles up to the index", () => {
  const chart = momentumChart(momentum, smallScore);
  assertEquals(drawn(chart, "shares-by-role"), 8);
  const heights = [...chart.querySelectorAll(".shares-by-role rect")].map((r) => ({
    x: Number(r.getAttribute("x")),
    y: Number(r.getAttribute("y")),
    height: Number(r.getAttribute("height")),
  }));
  const lastBar = Math.max(...heights.map((h) => h.x));
  const stack = heights.filter((h) => h.x === lastBar);
  const firstBar = heights.filter((h) => h.x === Math.min(...heights.map((o) => o.x)));
  const sum = (list: typeof heights) => list.reduce((total, h) => total + h.height, 0);
  assert(Math.abs(sum(stack) / sum(firstBar) - 3) < 0.01, "bar 4 has three times the momentum of bar 1");
});

Deno.test("balanceChart() marks covered bars, leaves bars without a lead empty, and names who leads", () => {
  const chart = balanceChart(balance, smallScore);
  assertEquals(drawn(chart, "covered"), 1);
  assertEquals(drawn(chart, "audible-share"), 3);
  assertEquals(drawn(chart, "power-difference"), 3);
  assertEquals(words(chart).filter((w) => w === "Flute 1" || w === "Horn 1"), ["Flute 1", "Horn 1"]);
  assert(words(chart).includes("covered"));
});

Deno.test("idiomChart() has a row for each part that does something unusual", () => {
  const chart = idiomChart(smallStudy.idiom!, smallScore);
  assertEquals([drawn(chart, "unusual"), words(chart).filter((w) => w === "Cellos").length], [1, 1]);
});

Deno.test("contourChart() says in its title how the curves go, and draws the tune beside each", () => {
  const chart = contourChart(smallStudy.contour, smallScore);
  assertEquals([drawn(chart, "curve"), drawn(chart, "wanted"), drawn(chart, "compass")], [3, 3, 4]);
  assert(words(chart)[0]!.includes("Loudness goes with the tune"), words(chart)[0]);
});

Deno.test("fullnessChart() crosses the bars in which a tone is wanting, and draws gaps where two pitches sound", () => {
  const chart = fullnessChart(smallStudy.fullness, smallScore);
  assertEquals([drawn(chart, "wanting"), drawn(chart, "gaps"), drawn(chart, "limit")], [1, 3, 1]);
});

Deno.test("freshnessChart() tells changes with a phrase from those inside one, and marks every phrase", () => {
  const changes = freshness.changes.flatMap((c) => [c, { ...c, barIndex: 1, bar: "2", beginsPhrase: false }]);
  const chart = freshnessChart({ ...freshness, changes }, smallScore);
  assertEquals([drawn(chart, "change-points"), drawn(chart, "phrases")], [2, 2]);
});

Deno.test("freshnessChart() marks and names every change point", () => {
  const chart = freshnessChart(freshness, smallScore);
  assertEquals(drawn(chart, "change-points"), 1);
  assert(words(chart).includes("3: Horn 1 takes the lead"));
});

Deno.test("freshnessChart() keeps the names of many changes apart", () => {
  const many = Array.from({ length: 40 }, (_, i) => ({
    ...smallStudy.freshness.perBar[0]!,
    barIndex: i,
    bar: String(i + 1),
  }));
  const changes = many.slice(1).map(({ barIndex, bar }) => ({
    barIndex,
    bar,
    change: (barIndex % 7) / 7,
    beginsPhrase: barIndex % 2 === 0,
    what: `something changes for the ${barIndex}th time`,
  }));
  const chart = freshnessChart({ ...freshness, perBar: many, changes });
  assertEquals(drawn(chart, "change-points"), 39);
  const named = [...chart.querySelectorAll("[aria-label=changes] text")].map((t) => ({
    x: Number(t.getAttribute("x")),
    y: Number(t.getAttribute("y")),
  }));
  assert(named.length >= 4);
  for (const a of named) {
    for (const b of named) {
      assert(a === b || a.y !== b.y || Math.abs(a.x - b.x) > 100, `${a.x},${a.y} and ${b.x},${b.y}`);
    }
  }
});

Deno.test("playabilityChart() gives every finding a shape, and parts without findings no row", () => {
  const chart = playabilityChart(playability, smallScore);
  assertEquals(chart.querySelectorAll(".finding").length, 2);
  assertEquals(chart.querySelectorAll(".finding.impossible").length, 1);
  assertEquals(drawn(chart, "stretches"), 1);
  assertEquals(words(chart).filter((w) => smallScore.parts.some((p) => p.name === w)), ["Flute 1", "Cellos"]);
  assert(words(chart).includes("chord (3 places)"));
  assert(words(chart).includes("1 of 3\u00a0parts without a finding is left out."));
});

Deno.test("comparisonChart() draws a bar per setting and measure, with its figure", () => {
  const chart = comparisonChart(rows);
  assertEquals(chart.querySelectorAll(".values").length, 11);
  assertEquals(chart.querySelectorAll("[aria-label=findings]").length, 1);
  assertEquals(drawn(chart, "values"), 22);
  assertEquals(words(chart).filter((w) => w === "2.00").length, 2);
  assertThrows(() => comparisonChart([]), InputError, "there are no settings to compare");
});

Deno.test("momentumComparisonChart() gives each study a panel on one scale", () => {
  const louder = {
    ...smallStudy,
    name: "twice",
    momentum: {
      ...momentum,
      perLayer: momentum.perLayer.map((l) => ({ ...l, contribution: l.contribution * 2 })),
      perBar: momentum.perBar.map((b) => ({ ...b, momentum: b.momentum * 2 })),
    },
  };
  const chart = momentumComparisonChart([smallStudy, louder], smallScore);
  const heights = [...chart.querySelectorAll(".shares-by-role")].map((group) =>
    [...group.querySelectorAll("rect")].reduce((sum, r) => sum + Number(r.getAttribute("height")), 0)
  );
  assertEquals(heights.length, 2);
  assert(Math.abs(heights[1]! / heights[0]! - 2) < 0.01);
});

Deno.test("layersChart() draws the notes of its bars and names the layers", () => {
  const chart = layersChart(smallScore, smallTexture, { fromBarIndex: 0, toBarIndex: 1 });
  assertEquals(drawn(chart, "notes"), 6);
  assertEquals(chart.querySelectorAll(".layer-name").length, 4);
  assert(words(chart).includes("C4"));
  assertThrows(
    () => layersChart(smallScore, smallTexture, { fromBarIndex: 3, toBarIndex: 9 }),
    InputError,
    "0 to 3",
  );
});

Deno.test("charts refuse options they do not have, sizes out of bounds, and options in the place of the score", () => {
  assertThrows(
    () => momentumChart(momentum, smallScore, { widht: 400 } as never),
    InputError,
    "width, height, title",
  );
  assertThrows(() => momentumChart(momentum, smallScore, { width: 20 }), InputError, "320");
  assertThrows(() => balanceChart(balance, { width: 400 } as unknown as Score), InputError, "options third");
});

Deno.test("charts leave what they are given as it was", () => {
  const before = JSON.stringify([smallScore, smallTexture, smallStudy]);
  for (const draw of Object.values(charts)) draw();
  assertEquals(JSON.stringify([smallScore, smallTexture, smallStudy]), before);
});

Deno.test("charts hold a part's name as text, whatever is in it", () => {
  const name = `<script>alert("x")</script>&`;
  const score = { ...smallScore, parts: smallScore.parts.map((p) => ({ ...p, name })) };
  const svg = chartSvg(roleTimelineChart(score, smallTexture));
  assertEquals(svg.includes("<script"), false);
  assertStringIncludes(svg, "&lt;script&gt;");
});

Deno.test("loudnessShareChart() fills every bar that sounds, one mark per role, and says how loud it is", () => {
  const chart = loudnessShareChart(balance, smallScore);
  // flute leads, horn pads, cellos as bass or pulse; then three roles, two, three
  assertEquals(drawn(chart, "loudness-shares"), 3 + 3 + 2 + 3);
  assertEquals(drawn(chart, "loudness"), 4);
  const bottoms = [...chart.querySelectorAll(".loudness-shares rect")].map((r) =>
    Number(r.getAttribute("y")) + Number(r.getAttribute("height"))
  );
  const heights = [...chart.querySelectorAll(".loudness-shares rect")].map((r) =>
    Number(r.getAttribute("height"))
  );
  assert(Math.max(...bottoms) > 0);
  assert(Math.abs(heights.reduce((a, b) => a + b, 0) / 4 - Math.max(...bottoms)) < 3, "four full bars");
});

Deno.test("maskingChart() has a figure for every pair that meets and a dash for those that do not", () => {
  const chart = maskingChart(smallMasking);
  assertEquals(drawn(chart, "shares"), 4);
  for (const figure of ["83", "12", "40", "5"]) assert(words(chart).includes(figure), figure);
  assertEquals(words(chart).filter((w) => w === "–").length, 2); // pad and bass never meet
  assertStringIncludes(
    chart.getAttribute("aria-label") ?? "",
    "lead (Flute 1) by pad (Horn 1–2): 83 per cent",
  );
  assert(words(maskingChart([])).includes("No two layers sound together."));
});

Deno.test("momentSoundChart() draws a line and a number per layer, and who has which band", () => {
  const chart = momentSoundChart(smallMoment);
  assertEquals(chart.querySelectorAll(".excitation").length, 2);
  assertEquals(drawn(chart, "numbers"), 2);
  assertEquals(drawn(chart, "occupied"), 2); // the bass below, the lead above
  assertEquals(drawn(chart, "heard"), 2);
  for (const word of ["lead: Flute 1", "bass: Cellos", "keeps 50 % of 8.0 sones", "400 Hz", "G4"]) {
    assert(words(chart).includes(word), word);
  }
  const nothing = momentSoundChart({ ...smallMoment, layers: [], bands: [] });
  assert(words(nothing).includes("Nothing sounds here."));
});

Deno.test("momentSoundChart() keeps the numbers of its lines below the upper edge, at any level", () => {
  for (const levelDb of [20, 39.9, 60, 79.5, 80, 80.1]) {
    const bands = smallMoment.bands.map((b) => ({ ...b, levelDb }));
    const numbers = [...momentSoundChart({ ...smallMoment, bands }).querySelectorAll(".numbers circle")];
    assertEquals(numbers.length, 2);
    for (const circle of numbers) {
      assert(Number(circle.getAttribute("cy")) - Number(circle.getAttribute("r")) >= 22, `${levelDb} dB`);
    }
  }
});

Deno.test("maskingChart() and momentSoundChart() keep to narrow pictures, names below", () => {
  for (
    const chart of [maskingChart(smallMasking, { width: 320 }), momentSoundChart(smallMoment, { width: 400 })]
  ) {
    const width = Number(chart.getAttribute("width"));
    const xs = [...chart.querySelectorAll("rect,circle,text")].map((e) =>
      Number(e.getAttribute("x") ?? e.getAttribute("cx") ?? 0) + Number(e.getAttribute("width") ?? 0)
    );
    assert(Math.max(...xs) <= width, `${Math.max(...xs)} in ${width}`);
    assertEquals(/NaN|undefined/.exec(chartSvg(chart))?.[0], undefined);
  }
});

Deno.test("charts of balance say beside the figures what the models cannot know", () => {
  const drawnCharts = [
    balanceChart(balance, smallScore),
    loudnessShareChart(balance, smallScore),
    maskingChart(smallMasking),
    momentSoundChart(smallMoment),
  ];
  for (const chart of drawnCharts) assertStringIncludes(words(chart).join(" "), "microphones");
});
