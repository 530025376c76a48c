import { join } from "node:path";
import * as Plot from "@observablehq/plot";
import { assertEquals, assertMatch, assertRejects, assertThrows } from "@std/assert";
import { SaxesParser } from "saxes";
import { InputError } from "ripieno";
import {
  type Chart,
  chartDocument,
  chartSvg,
  playabilityChart,
  roleTimelineChart,
  saveChart,
} from "ripieno/show";
import { smallScore, smallStudy, smallTexture } from "../small_study.ts";

const chart = roleTimelineChart(smallScore, smallTexture);

Deno.test("chartSvg() gives well-formed XML in the name space of SVG, with no colour left to a page", () => {
  const name = `Flute & "Piccolo" <1>\u0007`;
  const odd = { ...smallScore, parts: smallScore.parts.map((p) => ({ ...p, name })) };
  const studyOfOdd = {
    ...smallStudy.playability,
    findings: smallStudy.playability.findings.map((f) => ({ ...f, partName: name, what: "a & b < c" })),
  };
  for (const svg of [chartSvg(chart), chartSvg(playabilityChart(studyOfOdd, odd))]) {
    const spaces: string[] = [];
    const parser = new SaxesParser({ xmlns: true });
    parser.on("error", (error) => {
      throw error;
    });
    parser.on("opentag", (tag) => spaces.push(tag.uri));
    parser.write(svg).close();
    assertEquals(new Set(spaces), new Set(["http://www.w3.org/2000/svg"]));
    assertEquals(svg.includes("var("), false);
  }
});

Deno.test("saveChart() writes the file and leaves nothing else behind", async () => {
  const folder = await Deno.makeTempDir();
  const path = join(folder, "roles.svg");
  await saveChart(chart, path);
  await saveChart(chart, path); // over the old one
  assertEquals(await Deno.readTextFile(path), chartSvg(chart));
  assertEquals([...Deno.readDirSync(folder)].map((f) => f.name), ["roles.svg"]);
  await Deno.remove(folder, { recursive: true });
});

Deno.test("saveChart() makes a missing folder, and refuses one that cannot be or a name that is no picture's", async () => {
  const folder = await Deno.makeTempDir();
  await saveChart(chart, join(folder, "none", "roles.svg"));
  assertEquals(await Deno.readTextFile(join(folder, "none", "roles.svg")), chartSvg(chart));
  await Deno.remove(join(folder, "none"), { recursive: true });
  await Deno.writeTextFile(join(folder, "taken"), "");
  await assertRejects(() => saveChart(chart, join(folder, "taken", "roles.svg")), InputError, "taken");
  await assertRejects(() => saveChart(chart, join(folder, "roles.png")), InputError, ".svg");
  assertEquals([...Deno.readDirSync(folder)].map((f) => f.name), ["taken"]);
  await Deno.remove(folder, { recursive: true });
});

/** A chart of one's own, as the chart library makes it. */
function ownChart(options: Plot.PlotOptions): Chart {
  const rows = [{ bar: 1, attacks: 2, part: "Horns" }, { bar: 2, attacks: 5, part: "Harp" }];
  const marks = [Plot.dot(rows, { x: "bar", y: "attacks", fill: "part" })];
  return Plot.plot({ document: chartDocument(), marks, ...options }) as Chart;
}

Deno.test("saveChart() takes a drawing of one's own", async () => {
  const folder = await Deno.makeTempDir();
  await saveChart(ownChart({}), join(folder, "own.svg"));
  const svg = await Deno.readTextFile(join(folder, "own.svg"));
  assertMatch(svg, /^<svg xmlns="http:\/\/www\.w3\.org\/2000\/svg" /);
  const parser = new SaxesParser({ xmlns: true });
  parser.on("error", (error) => {
    throw error;
  });
  parser.write(svg).close();
  await Deno.remove(folder, { recursive: true });
});

Deno.test("chartSvg() gives the name space of SVG once, whether the drawing names it or has no attributes", () => {
  const document = chartDocument();
  const bare = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  assertEquals(chartSvg(bare), '<svg xmlns="http://www.w3.org/2000/svg"/>');
  bare.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  assertEquals(chartSvg(bare), '<svg xmlns="http://www.w3.org/2000/svg"/>');
});

Deno.test("chartSvg() and saveChart() refuse what is not one drawing, and say what makes a figure of it", async () => {
  const folder = await Deno.makeTempDir();
  const figures: readonly Plot.PlotOptions[] = [
    { color: { legend: true } },
    { color: { legend: true, type: "linear" }, marks: [Plot.dot([1, 2], { x: (x) => x, fill: (x) => x })] },
    { title: "Attacks" },
    { caption: "Counted by hand" },
  ];
  for (const options of figures) {
    const figure = ownChart(options);
    assertThrows(() => chartSvg(figure), InputError, "Cannot draw the chart: it is a figure: a legend");
    await assertRejects(() => saveChart(figure, join(folder, "a.svg")), InputError, "Leave legend, title");
    for (const svg of figure.querySelectorAll("svg")) chartSvg(svg); // as the message advises
  }
  const paragraph = chartDocument().createElement("p") as unknown as Chart;
  assertThrows(() => chartSvg(paragraph), InputError, "it is a <p> and not a drawing");
  assertEquals([...Deno.readDirSync(folder)], []);
  await Deno.remove(folder, { recursive: true });
});
