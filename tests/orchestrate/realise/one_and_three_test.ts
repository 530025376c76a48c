/**
 * Bass on one and three, chords on two and four, as marches have them (common practice, no source): written in bars of four,
 * alla breve and 12/8, and read back.
 */
import { assert, assertEquals, assertThrows } from "@std/assert";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { rewrite } from "../../../lib/orchestrate/rewrite/rewrite.ts";
import { type Sketch, sketchOf } from "../../../lib/orchestrate/plan/sketch.ts";
import { pitchName } from "../../../lib/base/units.ts";
import { InputError } from "../../../lib/base/errors.ts";
import type { Score } from "../../../lib/score/model.ts";
import { recognise } from "../../../lib/texture/recognise/recognise.ts";
import { notesOf, wholePlan } from "../sketches.ts";

const BASS = "bass on one and three";
const AFTER = "after-beats on two and four";

const sketch = (head: string, body: string): Sketch =>
  sketchOf(readAbc(`X:1\nT:March\n${head}\n${body}\n`, { file: "march.abc" }));

const IN_FOUR = `"C" e2 dc | "G7/B" d2 BG | "F" A2 cf | "C" e2 "G" d2 | "Bdim" d3 f | "C" e3 z |]`;

function marched(of: Sketch): Score {
  return realise(
    of,
    wholePlan(
      of,
      { role: "lead", parts: ["Flute 1"], dynamic: "f" },
      { role: "pulse", figure: AFTER, parts: ["Horns"], dynamic: "p" },
      { role: "bass", figure: BASS, parts: ["Tuba"], dynamic: "mp" },
    ),
  );
}

/** Pitch, and in quarters from the bar line and long, of a part's notes by bar. */
function strokes(score: Score, name: string): readonly (readonly string[])[] {
  const quarter = score.ticksPerQuarter;
  return score.bars.map((bar) =>
    notesOf(score, name)
      .filter((n) => n.onsetTicks >= bar.startTicks && n.onsetTicks < bar.startTicks + bar.durationTicks)
      .map((n) =>
        `${pitchName(n.soundingPitch).replace(/-?\d+$/, "")} ${(n.onsetTicks - bar.startTicks) / quarter} ${
          n.durationTicks / quarter
        }`
      )
  );
}

Deno.test("the bass has the root on one and the fifth on three, chords the beats between; a bass after a slash stays", () => {
  const score = marched(sketch("M:4/4\nL:1/4\nQ:1/4=112\nK:C", IN_FOUR));
  assertEquals(strokes(score, "Tuba"), [
    ["C 0 1", "G 2 1"],
    ["B 0 1", "B 2 1"],
    ["F 0 1", "C 2 1"],
    ["C 0 1", "G 2 1"],
    ["B 0 1", "B 2 1"], // the fifth of a diminished chord is none to stand on
    ["C 0 1", "C 2 1"], // nor is a chord over its fifth one to end on
  ]);
  for (const bar of strokes(score, "Horn 1").slice(0, -1)) {
    assertEquals(bar.map((s) => s.split(" ").slice(1)), [["1", "1"], ["3", "1"]]);
  }
});

Deno.test("alla breve is counted in four, 12/8 in its beats; bars of three have the first beat alone and the others", () => {
  const places = (score: Score, name: string) => strokes(score, name)[0]!.map((s) => s.replace(/^\S+ /, ""));
  const cut = marched(sketch("M:2/2\nL:1/4\nQ:1/2=104\nK:C", IN_FOUR));
  assertEquals([places(cut, "Tuba"), places(cut, "Horn 1")], [["0 1", "2 1"], ["1 1", "3 1"]]);
  const twelve = marched(
    sketch("M:12/8\nL:1/8\nQ:3/8=96\nK:C", `"C" c2e g2e c2e g3 | "F" a6 "G" g6 | "C" g9 z3 |]`),
  );
  assertEquals([places(twelve, "Tuba"), places(twelve, "Horn 1")], [["0 1.5", "3 1.5"], [
    "1.5 1.5",
    "4.5 1.5",
  ]]);
  const three = marched(sketch("M:3/4\nL:1/4\nQ:1/4=132\nK:C", `"C" e2 c | "F" f3 | "G" d2 B | "C" c3 |]`));
  assertEquals([places(three, "Tuba"), places(three, "Horn 1")], [["0 1"], ["1 1", "2 1"]]);
});

Deno.test("what is written so is read so, slow and quick, in quarters and in bars of two", () => {
  const twice = IN_FOUR.replace("|]", "|");
  const heads = ["M:4/4\nL:1/4\nQ:1/4=72", "M:4/4\nL:1/4\nQ:1/4=152", "M:2/2\nL:1/4\nQ:1/2=63"];
  for (const head of heads) {
    const score = marched(sketch(`${head}\nK:C`, `${twice} ${IN_FOUR}`));
    const { cells } = recognise(score);
    const read = (name: string) => {
      const part = score.parts.findIndex((p) => p.name === name);
      return new Set(
        cells.filter((c) => c.part === part && c.role !== "rest").map((c) => `${c.role}: ${c.figure}`),
      );
    };
    assertEquals(read("Tuba"), new Set([`bass: ${BASS}`]), head);
    assertEquals(read("Horn 1"), new Set([`pulse: ${AFTER}`]), head);
  }
});

Deno.test("in a finished score they are refused where bars have no four beats, in words", () => {
  const of = sketch("M:3/4\nL:1/4\nQ:1/4=132\nK:C", `"C" e2 c | "F" f3 | "G" d2 B | "C" c3 |]`);
  const score = realise(
    of,
    wholePlan(of, { role: "lead", parts: ["Flute 1"] }, { role: "pad", parts: ["Horns"] }, {
      role: "bass",
      parts: ["Tuba"],
    }),
  );
  const error = assertThrows(
    () => rewrite(score, [{ fromBar: 1, toBar: 4, parts: ["Horn 1"], role: "pulse", figure: AFTER }]),
    InputError,
  );
  assert(error.message.includes(`${AFTER} does not go into 3/4`), error.message);
  assert(error.message.includes("after-beats"), error.message);
});
