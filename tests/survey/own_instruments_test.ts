import { assertEquals } from "@std/assert";
import { join } from "node:path";
import { defineInstrument } from "ripieno/instruments";
import { survey } from "ripieno/survey";
import { inFolder } from "../formats/files/tree_of.ts";

Deno.test("an instrument that is defined after a survey is known to the next, and measures the scores anew", () =>
  inFolder(async (folder) => {
    const scores = join(folder, "scores");
    await Deno.mkdir(scores);
    const tune = `X:1\nT:Duo\nM:4/4\nL:1/4\nK:C\nV:1 name="Viola"\nC D E F |]\nV:2 name="Cello"\nC,4 |]\n`;
    await Deno.writeTextFile(join(scores, "duo.abc"), tune);
    const surveyed = async () =>
      (await survey(scores, { out: join(folder, "out"), workers: 1 })).scores.map((s) => [s.title, s.error]);
    assertEquals(await surveyed(), [["Duo", null]]);
    defineInstrument({ id: "low pipe", like: "bassoon" });
    assertEquals(await surveyed(), [["Duo", null]]);
    assertEquals([...Deno.readDirSync(join(folder, "out", "rows"))].length, 2);
  }));
