/** Dynamic signs as a plan has them: what a crescendo leads to, swells, hairpins under notes. */
import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertRejects,
  assertThrows,
} from "@std/assert";
import { InputError } from "../../../lib/base/errors.ts";
import { readMusicXml } from "../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../../lib/formats/musicxml/write/write_musicxml.ts";
import { readPlan, writePlan } from "../../../lib/orchestrate/plan/plan_table.ts";
import { assign } from "../../../lib/orchestrate/plan/plan.ts";
import { sweep } from "../../../lib/orchestrate/sweep/sweep.ts";
import { balance } from "../../../lib/measures/balance/balance.ts";
import { vary } from "../../../lib/orchestrate/plan/vary.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { DYNAMIC_MARKS, dynamicOf } from "../../../lib/score/dynamics.ts";
import type { Score } from "../../../lib/score/model.ts";
import { ANY_SKETCHS_FIGURES } from "../../setup/generated_settings.ts";
import { SKETCHES, wholePlan } from "../sketches.ts";

const signsOf = (score: Score, part = 0) =>
  score.parts[part]!.writtenDynamics!.map(({ onsetTicks, kind, mark }) =>
    [onsetTicks, mark ?? kind] as const
  );

Deno.test("what a crescendo or diminuendo leads to is printed, whatever follows it", () => {
  const sketch = SKETCHES["four-four"]!;
  for (const [from, to, next] of [["pp", "p", "mf"], ["f", "mp", "mp"], ["p", "f", "pp"], ["mf", "p", "p"]]) {
    for (const figure of ["held chord", "repeated eighths"]) {
      const role = figure === "held chord" ? "pad" : "pulse";
      const plan = readPlan(`passage,from_bar,to_bar,role,figure,parts,dynamic
A,1,4,${role},${figure},Violas,${from} to ${to}
B,5,8,${role},${figure},Violas,${next}`);
      const score = realise(sketch, plan);
      const second = score.bars[4]!.startTicks;
      const marks = signsOf(score).filter(([, word]) => dynamicOf(word) !== undefined);
      assertEquals(marks.map(([, mark]) => mark), to === next ? [from, to] : [from, to, next], figure);
      assert(marks[1]![0] < second, "the goal stands before the next passage");
      if (to !== next) assertEquals(marks[2]![0], second);
    }
  }
});

for (const [name, sketch] of Object.entries(SKETCHES)) {
  Deno.test(`${name}: a swell goes up and down by two hairpins that begin and end under notes, or by words over many bars, with its peak printed about halfway, in every figure that has none of its own`, () => {
    for (const figure of ANY_SKETCHS_FIGURES.filter((f) => f.swell === undefined)) {
      const parts = figure.role === "lead" ? ["Violins I"] : ["Violas", "Flute 1"];
      const score = realise(
        sketch,
        wholePlan(sketch, {
          role: figure.role,
          figure: figure.id,
          parts,
          dynamic: "p",
          dynamicMiddle: "f",
          dynamicEnd: "pp",
        }),
        { refuseImpossible: false },
      );
      score.parts.forEach((part, p) => {
        const notes = score.notes.filter((n) => n.part === p);
        const signs = signsOf(score, p);
        const marks = signs.filter(([, word]) => dynamicOf(word) !== undefined);
        const [first, peak, stop] = marks.map(([ticks]) => ticks) as [number, number, number];
        const barsTo = (from: number, to: number) =>
          score.bars.filter((b) => b.startTicks >= from && b.startTicks < to).length;
        const up = barsTo(first, peak) > 4 ? ["growing"] : ["crescendo", "stop"];
        const down = barsTo(peak, stop) > 4 ? ["fading"] : ["diminuendo", "stop"];
        const words = signs.map(([, word]) => word);
        assertEquals(words, ["p", ...up, "f", ...down, "pp"], `${figure.id}, ${part.name}`);
        const sounds = (ticks: number) =>
          notes.some((n) => n.onsetTicks <= ticks && n.onsetTicks + n.durationTicks > ticks);
        for (const [ticks] of signs) {
          assert(
            Number.isInteger(ticks) && sounds(ticks),
            `${figure.id}, ${part.name}: a sign over a rest at ${ticks}`,
          );
        }
        assert(first < peak && peak < stop, `${figure.id}: ${first} ${peak} ${stop}`);
        // A run may be silent in the middle.
        const middle = (first + stop) / 2;
        const quarter = score.ticksPerQuarter;
        if ([middle - quarter / 2, middle, middle + quarter / 2].every(sounds)) {
          assert(Math.abs(peak - middle) <= quarter, `${figure.id}: ${first} ${peak} ${stop}`);
        }
        notes.forEach((n, i) => {
          const before = notes[i - 1];
          if (n.onsetTicks === peak) assertAlmostEquals(n.dynamic, 6, 1e-9);
          if (n.onsetTicks >= stop) assertAlmostEquals(n.dynamic, 2, 1e-9);
          if (!before || before.onsetTicks === n.onsetTicks || n.onsetTicks > stop) return;
          if (n.onsetTicks <= peak) assertGreater(n.dynamic, before.dynamic);
          else if (before.onsetTicks >= peak) assertGreater(before.dynamic, n.dynamic);
        });
      });
      const again = readMusicXml(writeMusicXml(score));
      assertEquals(
        again.notes.map((n) => Math.round(n.dynamic * 1000)),
        score.notes.map((n) => Math.round(n.dynamic * 1000)),
        figure.id,
      );
    }
  });
}

Deno.test("a swell within one bar, on one note, or with an even leg is printed, and nothing that leads nowhere", () => {
  const sketch = SKETCHES["four-four"]!;
  const one = (dynamics: string, role = "pad") =>
    signsOf(
      realise(
        sketch,
        readPlan(`passage,from_bar,to_bar,role,parts,dynamic\nA,8,8,${role},Cellos,${dynamics}`),
      ),
    )
      .map(([at, word]) => [at / 24 - 28, word]);
  assertEquals(one("p to mf to p"), [
    [0, "p"],
    [0, "crescendo"],
    [1, "stop"],
    [1, "mf"],
    [1, "diminuendo"],
    [3, "stop"],
    [3, "p"],
  ]);
  assertEquals(one("p to p to f").map(([, word]) => word), ["p", "crescendo", "stop", "f"]);
  assertEquals(one("p to f to f").map(([, word]) => word), ["p", "crescendo", "stop", "f"]);
  assertEquals(one("p to mp to f").map(([, word]) => word), [
    "p",
    "crescendo",
    "stop",
    "mp",
    "crescendo",
    "stop",
    "f",
  ]);
});

Deno.test("every course of up to three marks comes back from its table and survives JSON; a steady one has one mark", () => {
  for (const dynamic of DYNAMIC_MARKS) {
    for (const dynamicMiddle of [undefined, "pp", "f"]) {
      for (const dynamicEnd of ["p", "ff"]) {
        const middle = dynamicMiddle === undefined ? {} : { dynamicMiddle };
        const layer = assign({ role: "pad", parts: ["Horns"], dynamic, ...middle, dynamicEnd });
        const plan = { name: "plan", passages: [{ name: "A", fromBar: 1, toBar: 2, assignments: [layer] }] };
        const { where: _where, ...again } = readPlan(writePlan(plan)).passages[0]!.assignments[0]!;
        assertEquals(again, layer);
        assertEquals(JSON.parse(JSON.stringify(layer)), layer);
      }
    }
  }
  assertEquals(assign({ role: "pad", parts: ["Horns"], dynamic: "p", dynamicMiddle: "f" }).dynamicEnd, "p");
  assertThrows(
    () => assign({ role: "pad", parts: ["Horns"], dynamicMiddle: "loud" }),
    InputError,
    '"loud" is not a dynamic',
  );
});

Deno.test("a new dynamic is steady: vary() keeps the peak of a swell only where the start stays", () => {
  const plan = readPlan("passage,from_bar,to_bar,role,parts,dynamic\nA,1,4,pad,Horns,p to f to mp");
  const after = (set: Record<string, string>) => {
    const { dynamic, dynamicMiddle, dynamicEnd } = vary(plan, { set }).passages[0]!.assignments[0]!;
    return [dynamic, dynamicMiddle, dynamicEnd];
  };
  assertEquals(after({ technique: "con sordino" }), ["p", "f", "mp"]);
  assertEquals(after({ dynamic: "ff" }), ["ff", undefined, "ff"]);
  assertEquals(after({ dynamic: "p", dynamicEnd: "f" }), ["p", undefined, "f"]);
  assertEquals(after({ dynamicMiddle: "ff" }), ["p", "ff", "mp"]);
});

Deno.test("a sweep takes swells, as single settings do, and refuses a course of four marks", async () => {
  const sketch = SKETCHES["six-eight"]!;
  const plan = wholePlan(sketch, { role: "lead", parts: ["Oboe 1"] }, { role: "pad", parts: ["Horns"] });
  const options = { sketch, layers: { role: "pad" }, measures: ["balance"], workers: 0 } as const;
  const rows = await sweep(plan, { dynamic: ["p", "p to f to p"] }, options);
  for (const row of rows) {
    const [dynamic, dynamicMiddle] = String(row.dynamic).split(" to ");
    const set = { dynamic: dynamic!, ...(dynamicMiddle ? { dynamicMiddle } : {}), dynamicEnd: dynamic! };
    const single = balance(realise(sketch, vary(plan, { set }, { role: "pad" })));
    assertAlmostEquals(row.audibleShare!, single.whole.audibleShare!, 1e-9);
  }
  assertGreater(rows[0]!.audibleShare!, rows[1]!.audibleShare!);
  await assertRejects(
    () => sweep(plan, { dynamic: ["p to f to p to f"] }, options),
    InputError,
    "up to three joined",
  );
});

Deno.test("what grows for longer than a word reaches has a hairpin, and comes back from the page as it was", () => {
  const { score, ...sketch } = SKETCHES["four-four"]!;
  // Eighteen bars of 4/4 are more than the 64 quarters within which a mark is what a word leads to.
  const [first] = score.bars;
  const bars = Array.from({ length: 20 }, (_, i) => ({
    ...first!,
    number: `${i + 1}`,
    startTicks: i * first!.durationTicks,
  }));
  const long = { ...sketch, score: { ...score, bars } };
  for (const [toBar, word] of [[16, "growing"], [20, "crescendo"]] as const) {
    const plan = readPlan(`passage,from_bar,to_bar,role,figure,parts,dynamic
A,1,${toBar},pulse,repeated eighths,Snare drum,p to f`);
    const written = realise(long, plan);
    assertEquals(signsOf(written)[1]![1], word);
    const again = readMusicXml(writeMusicXml(written));
    assertEquals(
      again.notes.map((n) => Math.round(n.dynamic * 1000)),
      written.notes.map((n) => Math.round(n.dynamic * 1000)),
    );
  }
});
