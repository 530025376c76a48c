/** Spate and its three plans do what the lesson says they do. */
import { assert, assertEquals, assertGreater, assertLess } from "@std/assert";
import { demoPlans, demoScore, demoSketch } from "../lib/demo.ts";
import { compare, study } from "../lib/measures/compare/compare.ts";
import { playability } from "../lib/measures/playability/playability.ts";
import type { Study } from "../lib/measures/compare/study_results.ts";
import { realise } from "../lib/orchestrate/realise/realise.ts";
import { lowIntervalLimit } from "../lib/score/low_interval_limit.ts";
import { recognise } from "../lib/texture/recognise/recognise.ts";
import type { Role } from "../lib/texture/roles.ts";
import { writtenTexture } from "../lib/texture/written.ts";
import { faultsOf, harmonyAt, pitchClass } from "./orchestrate/sketches.ts";

const { held: heldPlan, moving: movingPlan, rotating: rotatingPlan } = demoPlans();
const plans = [heldPlan, movingPlan, rotatingPlan];
const settings = plans.map((plan) => [plan.name, realise(demoSketch(), plan)] as const);
const [held, moving, rotating] = settings.map(([, score]) => study(score)) as [Study, Study, Study];

Deno.test("the sketch is 48 bars of four quarters with a chord in every bar and every tune note in its key or chord", () => {
  const { score, tune, harmonies } = demoSketch();
  assertEquals(score.bars.length, 48);
  assertEquals(new Set(harmonies.map((h) => h.barIndex)).size, 48);
  const majorScale = [0, 2, 4, 5, 7, 9, 11];
  for (const note of tune) {
    const bar = score.bars.findLast((b) => b.startTicks <= note.onsetTicks)!;
    const inKey = majorScale.includes(pitchClass(note.soundingPitch - 7 * bar.keyFifths));
    const chord = harmonyAt(demoSketch(), score, note.onsetTicks)!.tones.map((t) => t.pitchClass);
    assert(inKey || chord.includes(pitchClass(note.soundingPitch)), `bar ${bar.number}`);
  }
});

Deno.test("the three plans share six passages of eight bars and lead in each", () => {
  for (const plan of plans) {
    assertEquals(plan.passages.map((p) => [p.name, p.fromBar, p.toBar]), [
      ["Calm water", 1, 8],
      ["Quickening", 9, 16],
      ["Rapids", 17, 24],
      ["A pool", 25, 32],
      ["Rapids again", 33, 40],
      ["Open lake", 41, 48],
    ]);
    for (const passage of plan.passages) {
      assert(passage.assignments.some((a) => a.role === "lead"), passage.name);
    }
  }
});

Deno.test("the settings are clean parts in range, and nobody is asked for what is impossible, risky or tiring", () => {
  for (const [name, score] of settings) {
    assertEquals(faultsOf(score, "rangeExtreme"), [], name);
    const findings = playability(score).findings.filter((f) => f.severity !== "note");
    assertEquals(findings.map((f) => `${f.partName}, bar ${f.bar}: ${f.what}`), [], name);
  }
});

// Low-interval limits: the glossary table of data/low_intervals.csv, with its source there.
Deno.test("where pads and pulses meet the bass, no interval lies below its limit in the plans of fixed roles", () => {
  for (const [name, score] of settings.slice(0, 2)) {
    for (const bar of score.bars) {
      const pitches = score.notes
        .filter((n) => n.onsetTicks === bar.startTicks)
        .map((n) => n.soundingPitch)
        .sort((a, b) => a - b);
      pitches.slice(1).forEach((p, i) => {
        const interval = p - pitches[i]!;
        assert(
          interval === 0 || pitches[i]! >= lowIntervalLimit(interval),
          `${name}, bar ${bar.number}: ${pitches}`,
        );
      });
    }
  }
});

// Common practice, no source: moving accompaniments drive more than held ones; handing roles round keeps interest.
Deno.test("moving textures have more momentum than held chords, roles handed round more freshness than fixed ones", () => {
  const [h, m, r] = compare([held, moving, rotating]);
  assertLess(h!.momentum * 2, m!.momentum);
  assertLess(h!.momentum * 2, r!.momentum);
  assertGreater(r!.freshness, m!.freshness * 2);
  assertGreater(r!.freshness, h!.freshness * 2);
});

Deno.test("the rotating plan hands the lead to six colours and lets everybody who moves do something else later", () => {
  const leads = rotatingPlan.passages.map((p) =>
    p.assignments.filter((a) => a.role === "lead").flatMap((a) => a.parts).join(" + ")
  );
  assertEquals(new Set(leads).size, 6);
});

Deno.test("what the demo's settings were written with is read back from the notes", () => {
  const right: Partial<Record<Role, number>> = {};
  const all: Partial<Record<Role, number>> = {};
  for (const [, score] of settings) {
    const written = writtenTexture(score)!;
    const read = recognise(score);
    written.cells.forEach((cell, i) => {
      assertEquals(read.cells[i]!.role === "rest", cell.role === "rest", `${cell.barIndex} ${cell.part}`);
      if (cell.role === "rest") return;
      all[cell.role] = (all[cell.role] ?? 0) + 1;
      if (read.cells[i]!.role === cell.role) right[cell.role] = (right[cell.role] ?? 0) + 1;
    });
  }
  const sum = (counts: Partial<Record<Role, number>>) => Object.values(counts).reduce((a, b) => a + b, 0);
  const share = sum(right) / sum(all);
  const perRole = Object.entries(all).map(([role, n]) => `${role} ${right[role as Role] ?? 0} of ${n}`).join(
    ", ",
  );
  console.log(`roles read back: ${(share * 100).toFixed(1)} % of ${sum(all)} cells (${perRole})`);
  assertGreater(share, 0.95);
  assertEquals(demoScore().layers?.length, movingPlan.passages.flatMap((p) => p.assignments).length);
});
