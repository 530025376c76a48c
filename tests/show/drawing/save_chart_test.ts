import { join } from "node:path";
import { assertEquals, assertRejects } from "@std/assert";
import { SaxesParser } from "saxes";
import { InputError } from "ripieno";
import { chartSvg, playabilityChart, roleTimelineChart, saveChart } from "ripieno/show";
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
