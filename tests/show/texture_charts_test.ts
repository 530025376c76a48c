/** Charts of a texture with thirty parts and five hundred bars, and with percussion. */
import { assert, assertEquals, assertGreaterOrEqual, assertThrows } from "@std/assert";
import { InputError, recognise } from "ripieno";
import { layersChart, roleTimelineChart } from "ripieno/show";
import { random } from "../setup/random.ts";
import { example, type PartText } from "../texture/examples.ts";
import { drawn, words } from "./normalised.ts";

/** Instruments of thirty players. */
const PLAYERS = [
  ["piccolo", 6],
  ["flute", 5],
  ["flute", 5],
  ["oboe", 5],
  ["cor anglais", 4],
  ["clarinet in Bb", 4],
  ["bass clarinet", 3],
  ["bassoon", 3],
  ["contrabassoon", 2],
  ["horn in F", 4],
  ["horn in F", 4],
  ["horn in F", 3],
  ["horn in F", 3],
  ["trumpet in C", 5],
  ["trumpet in C", 4],
  ["tenor trombone", 3],
  ["bass trombone", 2],
  ["tuba", 2],
  ["timpani", 2],
  ["snare drum", 0],
  ["cymbals", 0],
  ["harp", 4],
  ["celesta", 5],
  ["piano", 4],
  ["violin", 5],
  ["violin", 5],
  ["viola", 4],
  ["cello", 3],
  ["cello", 3],
  ["double bass", 2],
] as const;

/** Bars of common figures, an octave to be added. */
const FIGURES = [
  "A0:3/2 G0:1/2 F0:1 D0:1",
  "F0:4",
  "D0:1/4 ".repeat(16),
  "D0:1/2 F0:1/2 A0:1/2 F0:1/2 ".repeat(2),
  "D0:1 D0:1 A0:1 D0:1",
  "r:4",
  "r:4",
  "r:2 D0:1/4 E0:1/4 F0:1/4 G0:1/4 A0:1/4 B0:1/4 C1:1/4 D1:1/4",
  "D0:1/2 r:7/2",
  "r:1/2 D0:1/2 ".repeat(4),
];

/** Thirty parts that change what they do every few bars. */
function longScore(bars: number) {
  const next = random(5);
  return example(PLAYERS.map(([instrument, octave]): PartText => {
    const music: string[] = [];
    while (music.length < bars) {
      const figure = FIGURES[Math.floor(next() * FIGURES.length)]!
        .replaceAll(/([A-G])(\d)/g, (_, step: string, o: string) => `${step}${Number(o) + octave}`);
      const times = 2 + Math.floor(next() * 14);
      for (let i = 0; i < times && music.length < bars; i++) music.push(figure);
    }
    return [instrument, music.join(" ")];
  }));
}

Deno.test("thirty parts by five hundred bars are broken into rows in which what lasts twelve bars is named, in whole words", () => {
  const score = longScore(500);
  const texture = recognise(score);
  const chart = roleTimelineChart(score, texture);
  const groups = chart.querySelectorAll("[aria-label=parts]");
  assertEquals(groups.length, 3);
  for (const group of groups) assertEquals(group.querySelectorAll("text").length, 30);
  // Every bar of every part that sounds is covered by one mark, over all rows.
  const titles = [...chart.querySelectorAll(".roles title")].map((t) => t.textContent ?? "");
  const lengths = titles.map((title) => {
    const [, from, to] = title.match(/bars? (\d+)(?:–(\d+))?/)!;
    return Number(to ?? from) - Number(from) + 1;
  });
  assertEquals(lengths.reduce((a, b) => a + b, 0), texture.cells.filter((c) => c.role !== "rest").length);
  assertGreaterOrEqual(drawn(chart, "role-names"), lengths.filter((length) => length >= 12).length);
  const names = words(chart);
  assert(names.includes("figuration") && !names.includes("fig"));
});

Deno.test("a span of bars can be shown, in as many rows as asked", () => {
  const score = longScore(60);
  const texture = recognise(score);
  const rows = (options: Parameters<typeof roleTimelineChart>[2]) =>
    roleTimelineChart(score, texture, options).querySelectorAll("[aria-label=parts]").length;
  assertEquals([rows({}), rows({ rows: 4 }), rows({ fromBarIndex: 10, toBarIndex: 12, rows: 5 })], [1, 4, 3]);
  const part = roleTimelineChart(score, texture, { fromBarIndex: 10, toBarIndex: 19 });
  assert(words(part).includes("11") && !words(part).includes("1"));
  assertThrows(
    () => roleTimelineChart(score, texture, { fromBarIndex: 50, toBarIndex: 60 }),
    InputError,
    "0 to 59",
  );
  assertThrows(() => roleTimelineChart(score, texture, { rows: 0 }), InputError, "1 to 50");
});

Deno.test("layers name all their players, and percussion without pitch has rows of its own", () => {
  const score = example([
    ["violin", "A5:3/2 G5:1/2 F5:1 D6:1"],
    ...Array.from({ length: 9 }, (_, i): PartText => ["horn in F", i === 0 ? "r:1/2 F4:7/2" : "F4:4"]),
    ["snare drum", "(X:1/2 X:1/4 X:1/4)x4"],
    ["cymbals", "X:1 r:3"],
    ["triangle", "r:4"],
  ]);
  const chart = layersChart(score, recognise(score), { fromBarIndex: 0, toBarIndex: 0 });
  const text = words(chart);
  assert(text.includes("percussion without pitch"));
  assert(text.some((w) => w.startsWith("snare drum: ")) && text.some((w) => w.startsWith("cymbals: ")));
  assert(!text.some((w) => w.startsWith("triangle")));
  assertEquals(drawn(chart, "percussion"), 12 + 1);
  assert(text.some((w) => / and \d more$/.test(w)), "nine horns do not fit three lines");
});

Deno.test("without percussion there are no rows for it", () => {
  const score = example([["violin", "A5:3/2 G5:1/2 F5:1 D6:1"], ["cello", "D3:4"]]);
  assert(!words(layersChart(score, recognise(score))).includes("percussion without pitch"));
});

Deno.test("names of many layers do not run into each other", () => {
  const score = longScore(20);
  const texture = recognise(score);
  for (const height of [420, 260]) {
    const chart = layersChart(score, texture, { fromBarIndex: 4, toBarIndex: 9, height });
    const lines = [...chart.querySelectorAll(".layer-name text")].map((t) => Number(t.getAttribute("y")))
      .sort((a, b) => a - b);
    assertGreaterOrEqual(chart.querySelectorAll(".layer-name").length, 5);
    for (let i = 1; i < lines.length; i++) assertGreaterOrEqual(lines[i]! - lines[i - 1]!, 12.9);
  }
});
