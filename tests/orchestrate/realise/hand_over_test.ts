/** A figure that goes from player to player: whose turn it is, where each lands, what a plan may not ask. */
import { assert, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import { InputError } from "../../../lib/base/errors.ts";
import { printedPassages } from "../../../lib/measures/passages/printed_passages.ts";
import { seamsOf } from "../../../lib/score/playing_order.ts";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { tuneStave } from "../../../lib/formats/page/tune_stave.ts";
import type { Plan } from "../../../lib/orchestrate/plan/plan.ts";
import { leadsInBars } from "../../../lib/measures/leads_in_bars.ts";
import { freshness } from "../../../lib/measures/freshness/freshness.ts";
import { textureOf } from "../../../lib/texture/recognise/recognise.ts";
import { playersAt } from "../../../lib/measures/players_at.ts";
import { readPlan, writePlan } from "../../../lib/orchestrate/plan/plan_table.ts";
import { sketchOf } from "../../../lib/orchestrate/plan/sketch.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import type { Score } from "../../../lib/score/model.ts";
import { type Figure, FIGURES } from "../../../lib/texture/figures.ts";
import { faultsOf, notesOf, passagePlan, SKETCHES, type TestLayer, wholePlan } from "../sketches.ts";

const PLAYERS = ["Clarinet 1", "Clarinet 2", "Oboe 1"];
const HANDED = FIGURES.filter((f) => ["pulse", "figuration", "run"].includes(f.role));
const WORDS = ["by bar", "by half bar", "by beat"] as const;

function handed(name: string, figure: Figure, handOver: (typeof WORDS)[number], parts = PLAYERS): Score {
  const sketch = SKETCHES[name]!;
  const layer: TestLayer = { role: figure.role, figure: figure.id, parts, handOver };
  return realise(sketch, wholePlan(sketch, layer), { refuseImpossible: false });
}

for (const name of Object.keys(SKETCHES)) {
  Deno.test(`${name}: every figure is handed over without faults, and nobody goes on for more than a turn and its landing`, () => {
    for (const figure of HANDED) {
      for (const handOver of WORDS) {
        const score = handed(name, figure, handOver);
        const where = `${figure.id} ${handOver}`;
        assertEquals(faultsOf(score, "rangeComfortable"), [], where);
        assert(score.notes.length > 0, where);
        // Of three players at most two sound at once: who lands and who begins.
        for (const group of Map.groupBy(score.notes, (n) => n.onsetTicks).values()) {
          assert(new Set(group.map((n) => n.part)).size <= 2, `${where}, at ${group[0]!.onsetTicks}`);
        }
      }
    }
  });
}

Deno.test("by bar each player lands on the first note of the next, in one rhythm without a gap", () => {
  const sixteenths = FIGURES.find((f) => f.id === "repeated sixteenths")!;
  const score = handed("four-four", sixteenths, "by bar");
  const quarter = score.ticksPerQuarter;
  score.bars.forEach((bar, b) => {
    const inBar = (name: string) =>
      notesOf(score, name).filter((n) =>
        n.onsetTicks >= bar.startTicks && n.onsetTicks < bar.startTicks + bar.durationTicks
      ).map((n) => (n.onsetTicks - bar.startTicks) / quarter);
    assertEquals(inBar(PLAYERS[b % 3]!), Array.from({ length: 16 }, (_, i) => i / 4), `bar ${b + 1}`);
    if (b > 0) assertEquals(inBar(PLAYERS[(b - 1) % 3]!), [0], `landing in bar ${b + 1}`);
    if (b > 1) assertEquals(inBar(PLAYERS[(b - 2) % 3]!), [], `silent in bar ${b + 1}`);
  });
});

Deno.test("a run that is handed over meets on one tone, an octave apart where the register asks for it", () => {
  for (const id of ["running scale", "running scale in triplets", "wave in sixteenths"]) {
    for (const handOver of WORDS) {
      const score = handed("four-four", FIGURES.find((f) => f.id === id)!, handOver);
      let meetings = 0;
      for (const [landing, begun] of Map.groupBy(score.notes, (n) => n.onsetTicks).values()) {
        if (begun === undefined) continue;
        meetings++;
        assertEquals((landing!.soundingPitch - begun.soundingPitch) % 12, 0, `${id} ${handOver}`);
      }
      assert(meetings >= score.bars.length - 1, `${id} ${handOver}: ${meetings}`);
    }
  }
});

Deno.test("players of one name take their turn together", () => {
  const eighths = FIGURES.find((f) => f.id === "repeated eighths")!;
  const score = handed("four-four", eighths, "by bar", ["Flutes", "Oboes"]);
  const second = score.bars[1]!;
  const within = score.notes.filter((n) =>
    n.onsetTicks > second.startTicks && n.onsetTicks < second.startTicks + second.durationTicks
  );
  assertEquals(new Set(within.map((n) => score.parts[n.part]!.name)), new Set(["Oboe 1", "Oboe 2"]));
});

// Common practice, no source: who takes a pulse over goes on where it lay.
Deno.test("players of a kind hand a pulse over on its pitch, groups of them with its whole chord", () => {
  const eighths = FIGURES.find((f) => f.id === "repeated eighths")!;
  const alone = handed("four-four", eighths, "by bar", ["Flute 1", "Flute 2"]);
  assertEquals(
    notesOf(alone, "Flute 1").filter((n) => n.onsetTicks > alone.bars[1]!.startTicks).length > 0,
    true,
  );
  for (const group of Map.groupBy(alone.notes, (n) => n.onsetTicks).values()) {
    assertEquals(new Set(group.map((n) => n.soundingPitch)).size, 1, `at ${group[0]!.onsetTicks}`);
  }
  const choirs = handed("four-four", eighths, "by bar", ["Clarinets", "Horns"]);
  const everywhere = [...Map.groupBy(choirs.notes, (n) => n.onsetTicks).values()];
  const four = everywhere.filter((group) => group.some((n) => choirs.parts[n.part]!.name === "Horn 1"));
  const complete = four.filter((group) => new Set(group.map((n) => n.soundingPitch % 12)).size >= 3);
  assert(complete.length === four.length, `${complete.length} of ${four.length} chords of horns are whole`);
});

Deno.test("the column hand_over is read, written where it says something, and refused where it makes no sense", () => {
  const table = (role: string, parts: string, word: string) =>
    `passage,from_bar,to_bar,role,parts,hand_over\nA,1,4,${role},${parts},${word}`;
  const plan = readPlan(table("pulse", "Flute 1 + Oboe 1", "by half bar"));
  assertEquals(plan.passages[0]!.assignments[0]!.handOver, "by half bar");
  assertStringIncludes(writePlan(plan), "hand_over");
  assertEquals(
    readPlan(writePlan(plan, { format: "json" })).passages[0]!.assignments[0]!.handOver,
    "by half bar",
  );
  assert(!writePlan(readPlan(table("pulse", "Flute 1 + Oboe 1", ""))).includes("hand_over"));
  const refused = (text: string) => assertThrows(() => readPlan(text), InputError).message;
  assertStringIncludes(refused(table("pulse", "Flute 1", "by day")), "row 2, column hand_over");
  assertStringIncludes(refused(table("pad", "Horns", "by bar")), "pulse, figuration, run");
  const alone = assertThrows(
    () => realise(SKETCHES["four-four"]!, readPlan(table("pulse", "Flute 1", "by bar"))),
    InputError,
  );
  assertStringIncludes(alone.message, "nobody to hand the figure over to");
});

const WALTZ = sketchOf(readAbc(
  `X:1\nM:3/4\nL:1/4\nQ:1/4=120\nK:G\n"G" D | "G" G2 B | "D7" A2 F | "G" (G2 d) | "C" (e2 d) | "G" B2 G | "D" A3 |]\n`,
));

Deno.test("a lead has the upbeat to its passage where the plan says so, and who led until then ends with the phrase", () => {
  const plan = (upbeat: string, more = "") =>
    readPlan(
      `passage,from_bar,to_bar,role,parts,dynamic,upbeat\nA,0,3,lead,Oboe 1,p,\nB,4,6,lead,Flute 1,f,${upbeat}\n${more}`,
    );
  const quarter = (score: Score) => score.ticksPerQuarter;
  const onsets = (score: Score, name: string) =>
    notesOf(score, name).map((n) => n.onsetTicks / quarter(score));
  const tune = WALTZ.tune.map((n) => n.onsetTicks / WALTZ.score.ticksPerQuarter);
  const usual = realise(WALTZ, plan(""));
  assertEquals(onsets(usual, "Oboe 1"), tune.filter((t) => t < 10));
  const taken = realise(WALTZ, plan("quarter"));
  assertEquals(onsets(taken, "Oboe 1"), tune.filter((t) => t < 9));
  assertEquals(onsets(taken, "Flute 1"), tune.filter((t) => t >= 9));
  // In its own loudness, and the slur to which it belonged ends where nobody goes on with it.
  assertEquals(notesOf(taken, "Flute 1").map((n) => n.dynamic), notesOf(taken, "Flute 1").map(() => 6));
  assertEquals(notesOf(taken, "Oboe 1").at(-1)!.slurStart, false);
  assertEquals(notesOf(usual, "Oboe 1").at(-2)!.slurStart, true);
  assertEquals(faultsOf(taken, "rangeComfortable"), []);
  // One who leads on has both, and the tune on top of a condensed score loses nothing.
  const same = realise(WALTZ, readPlan(writePlan(plan("quarter")).replace("Flute 1", "Oboe 1")));
  assertEquals(onsets(same, "Oboe 1"), tune);
  const stave = tuneStave(taken);
  assertEquals(stave.notes.map((n) => n.onsetTicks / quarter(taken)), tune);
  // The upbeat counts with the phrase it leads into.
  const texture = textureOf(taken);
  const leads = leadsInBars(taken, texture, { fromBarIndex: 0, toBarIndex: 6 });
  assertEquals(leads, [{ names: ["Oboe 1"], bars: 4 }, { names: ["Flute 1"], bars: 3 }]);
  assertEquals(freshness(taken).changes, freshness(usual).changes);
  const refused = (text: Plan) => assertThrows(() => realise(WALTZ, text), InputError).message;
  assertStringIncludes(
    refused(plan("dotted half", "A,0,3,pad,Flute 1,p,\n")),
    `"Flute 1" plays the pad until bar 3`,
  );
  const first = readPlan("passage,from_bar,to_bar,role,parts,upbeat\nA,0,6,lead,Oboe 1,eighth\n");
  assertStringIncludes(refused(first), "nothing comes before bar 0 for the upbeat of an eighth");
  const second = readPlan("passage,from_bar,to_bar,role,parts,upbeat\nA,1,6,lead,Oboe 1,half\n");
  assertStringIncludes(refused(second), "longer than bar 0 before it");
  const pad = "passage,from_bar,to_bar,role,parts,upbeat\nA,1,6,pad,Horns,quarter\n";
  assertStringIncludes(assertThrows(() => readPlan(pad), InputError).message, "That is for lead");
});

Deno.test("an upbeat that no passage has goes with the first whole bar: who leads there has it, and its passage is marked once", () => {
  const plan = (fromBar: number) =>
    readPlan(
      `passage,from_bar,to_bar,role,parts\nA,${fromBar},3,lead,Oboe 1\nA,${fromBar},3,bass,Cellos\nB,4,6,lead,Flute 1\n`,
    );
  const score = realise(WALTZ, plan(1));
  const onsets = (name: string) => notesOf(score, name).map((n) => n.onsetTicks / score.ticksPerQuarter);
  assertEquals(onsets("Oboe 1")[0], 0);
  assert(onsets("Cellos").every((at) => at >= 1), "who accompanies begins with the bar");
  assertEquals(score.bars.map((b) => b.rehearsal).filter((mark) => mark !== undefined), ["A", "B"]);
  assertEquals(score.bars[1]!.rehearsal, "A");
  assertEquals(
    printedPassages(score).map((p) => [p.name, p.fromBarIndex, p.toBarIndex]),
    [["A", 0, 3], ["B", 4, 6]],
  );
  // Where a passage has the bar of the upbeat, nobody else gets it; and from the second bar on, nobody.
  const late = readPlan("passage,from_bar,to_bar,role,parts\nB,2,6,lead,Flute 1\n");
  assert(realise(WALTZ, late).notes.every((n) => n.onsetTicks >= 4 * score.ticksPerQuarter));
  const own = readPlan("passage,from_bar,to_bar,role,parts\nUp,0,0,pad,Horns\nA,1,6,lead,Oboe 1\n");
  assertEquals(notesOf(realise(WALTZ, own), "Oboe 1")[0]!.onsetTicks, score.bars[1]!.startTicks);
});

Deno.test("no note is held where a repeat ends or an ending begins, and all are where the music goes on", () => {
  const sketch = sketchOf(readAbc(
    `X:1\nM:3/4\nL:1/4\nQ:1/4=120\nK:G\n"G" G2 B | "G" B2 G |: "G" d2 B | "G" B3 |1 "G" G3 :|2 "G" B3 | "G" G3 |]\n`,
  ));
  const plan = readPlan(
    "passage,from_bar,to_bar,role,parts\nA,1,7,lead,Flute 1\nA,1,7,pad,Violins I + Violins II\nA,1,7,bass,Cellos\n",
  );
  const score = realise(sketch, plan);
  const seams = seamsOf(score);
  assertEquals([...seams].map((t) => score.bars.findIndex((b) => b.startTicks === t)).sort(), [2, 4, 5]);
  const held = score.notes.filter((n) => score.parts[n.part]!.name !== "Flute 1");
  const across = (ticks: number) =>
    held.filter((n) => n.onsetTicks < ticks && n.onsetTicks + n.durationTicks > ticks).length;
  score.bars.slice(1).forEach(({ startTicks, number }) =>
    assertEquals(across(startTicks) > 0, !seams.has(startTicks), `before bar ${number}`)
  );
});

Deno.test("the desks of a section share a figure in turn, which the words over its stave say; all play what follows", () => {
  const sketch = SKETCHES["four-four"]!;
  const layer: TestLayer = { role: "figuration", figure: "wave in sixteenths", parts: ["Violins I"] };
  const plan = (handOver?: "by bar") => ({
    ...passagePlan(1, 4, { ...layer, ...handOver ? { handOver } : {} }),
    passages: [
      ...passagePlan(1, 4, { ...layer, ...handOver ? { handOver } : {} }).passages,
      ...passagePlan(5, 8, { role: "pad", parts: ["Violins I"] }).passages,
    ],
  });
  const score = realise(sketch, plan("by bar"));
  const [violins] = score.parts;
  const bars = score.bars.map((b) => b.startTicks);
  assertEquals(violins!.playing!.map((p) => [p.words, p.fromTicks]), [
    ["odd desks", bars[0]],
    ["even desks", bars[1]],
    ["desks in turn", bars[2]],
    ["tutti", bars[4]],
  ]);
  const players = [0, 1, 3, 4].map((b) => playersAt(violins!, bars[b]!));
  assertEquals(players, [7, 7, 7, 14]);
  assertEquals(score.notes, realise(sketch, plan()).notes, "one line on the page");
});
