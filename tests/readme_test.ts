import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import { drawReadmeChart, README_CHART } from "./setup/readme_chart.ts";

const README = await Deno.readTextFile(new URL("../README.md", import.meta.url));

Deno.test("the README shows the chart that its example draws", async () => {
  assertStringIncludes(README, "data/spate/momentum.svg");
  const kept = await Deno.readTextFile(README_CHART);
  assert(
    kept === drawReadmeChart(),
    "data/spate/momentum.svg is out of date: run deno run -A tests/setup/readme_chart.ts",
  );
});

Deno.test("every file the README links to is there", async () => {
  const links = [...README.matchAll(/\]\(([^)#:]+)\)/g)].map((m) => m[1]!);
  assert(links.length > 0);
  for (const link of links) {
    assertEquals((await Deno.stat(new URL(`../${link}`, import.meta.url))).isFile, true);
  }
});
