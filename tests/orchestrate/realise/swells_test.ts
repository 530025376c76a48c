/** Chords struck sfp that swell, rolls that grow into the next bar: where the signs stand, and that they come back from a page. */
import { assert, assertEquals } from "@std/assert";
import { readMusicXml } from "../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../../lib/formats/musicxml/write/write_musicxml.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import type { Score } from "../../../lib/score/model.ts";
import { recognise } from "../../../lib/texture/recognise/recognise.ts";
import { harmonyAt, notesOf, SKETCHES, type TestLayer, wholePlan } from "../sketches.ts";

function written(name: string, layer: TestLayer): Score {
  const sketch = SKETCHES[name]!;
  return realise(sketch, wholePlan(sketch, layer), { refuseImpossible: false });
}

const NAMES = Object.keys(SKETCHES);
const signsOf = (score: Score, part: string) => score.parts.find((p) => p.name === part)!.writtenDynamics!;

Deno.test("a stab is struck sfp, swells to the layer's dynamic under its own note and is cut off before the next", () => {
  for (const name of NAMES) {
    const score = written(name, {
      role: "pad",
      figure: "stab with a swell",
      parts: ["Trumpets"],
      dynamic: "ff",
    });
    const notes = notesOf(score, "Trumpet 1");
    const signs = signsOf(score, "Trumpet 1");
    assertEquals(
      signs.filter((s) => s.mark === "sfp").map((s) => s.onsetTicks),
      notes.map((n) => n.onsetTicks),
      name,
    );
    notes.forEach((n, i) => {
      const end = n.onsetTicks + n.durationTicks;
      const under = signs.filter((s) => s.onsetTicks >= n.onsetTicks && s.onsetTicks < end);
      assertEquals(under.map((s) => s.mark ?? s.kind), ["sfp", "crescendo", "stop", "ff"], name);
      assert(notes[i + 1] === undefined || notes[i + 1]!.onsetTicks > end, `${name}: cut off`);
    });
  }
});

Deno.test("a roll grows through the end of each bar into a plain stroke on the next downbeat", () => {
  for (const name of NAMES) {
    const score = written(name, {
      role: "trill",
      figure: "roll into the bar",
      parts: ["Timpani"],
      dynamic: "f",
    });
    const notes = notesOf(score, "Timpani");
    const signs = signsOf(score, "Timpani");
    const rolls = notes.filter((n) => n.tremoloSlashes >= 3);
    const inHarmony = new Set(SKETCHES[name]!.harmonies.map((h) => h.barIndex));
    assertEquals(rolls.length, [...inHarmony].filter((b) => b + 1 < score.bars.length).length, name);
    for (const roll of rolls) {
      const end = roll.onsetTicks + roll.durationTicks;
      assert(score.bars.some((b) => b.startTicks === end), name);
      // Into a bar without a chord it leads nowhere.
      if (harmonyAt(SKETCHES[name]!, score, end) === undefined) continue;
      assertEquals(notes.find((n) => n.onsetTicks === end)?.tremoloSlashes, 0, name);
      assertEquals(
        signs.find((s) => s.kind === "crescendo" && s.onsetTicks === roll.onsetTicks)?.kind,
        "crescendo",
      );
      assertEquals(signs.filter((s) => s.onsetTicks === end).map((s) => s.mark ?? s.kind).slice(0, 2), [
        "stop",
        "f",
      ]);
    }
  }
});

Deno.test("stabs and rolls come back from a page by their names", () => {
  for (
    const [role, figure, part] of [["pad", "stab with a swell", "Horns"], [
      "trill",
      "roll into the bar",
      "Snare drum",
    ]] as const
  ) {
    for (const name of NAMES) {
      const page = readMusicXml(writeMusicXml(written(name, { role, figure, parts: [part] })), {
        file: name,
      });
      const cells = recognise({ ...page, layers: [] }).cells.filter((c) =>
        c.role !== "rest" && c.barIndex < page.bars.length - 1
      );
      assertEquals(new Set(cells.map((c) => c.figure)), new Set([figure]), name);
    }
  }
});

Deno.test("a layer that begins sfp has that mark on its first note and goes on from piano", () => {
  const score = written(NAMES[0]!, { role: "pad", parts: ["Horns"], dynamic: "sfp", dynamicEnd: "ff" });
  const signs = signsOf(score, "Horn 1");
  assertEquals([signs[0]!.mark, signs[1]!.kind, signs.at(-1)!.mark], ["sfp", "growing", "ff"]);
});
