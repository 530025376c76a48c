/** Chords that settings were written with, read back off their notes alone: the truth is known to the tick. */
import { assertEquals, assertGreater } from "@std/assert";
import { demoPlans, demoSketch } from "../../lib/demo.ts";
import { readHarmony } from "../../lib/harmony/read_harmony.ts";
import type { Plan } from "../../lib/orchestrate/plan/plan.ts";
import type { Sketch } from "../../lib/orchestrate/plan/sketch.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";
import { readChordSymbol } from "../../lib/score/chord_symbol.ts";
import { textureOf } from "../../lib/texture/recognise/recognise.ts";
import { SKETCHES, wholePlan } from "../orchestrate/sketches.ts";

/** Shares of the time for which root, and root with kind, are those of the sketch. */
function readBack(sketch: Sketch, plan: Plan, isWithTexture = false) {
  const score = { ...realise(sketch, plan), chords: [] };
  const { spans } = readHarmony(score, isWithTexture ? { texture: textureOf(score) } : {});
  const grid = score.ticksPerQuarter / sketch.score.ticksPerQuarter;
  let [all, root, whole] = [0, 0, 0];
  for (const { onsetTicks, durationTicks, symbol, tones } of sketch.harmonies) {
    const quality = readChordSymbol(symbol)!.quality;
    for (const span of spans) {
      const time = Math.min(span.endTicks, (onsetTicks + durationTicks) * grid) -
        Math.max(span.startTicks, onsetTicks * grid);
      if (time <= 0) continue;
      all += time;
      if (span.root === tones[0]!.pitchClass) root += time;
      if (span.root === tones[0]!.pitchClass && span.quality === quality) whole += time;
    }
  }
  return { root: root / all, whole: whole / all };
}

Deno.test("the demo's chords are read back off its three settings", () => {
  for (const [name, plan] of Object.entries(demoPlans())) {
    for (const isWithTexture of [false, true]) {
      const { root, whole } = readBack(demoSketch(), plan, isWithTexture);
      const given = isWithTexture ? ", texture given" : "";
      console.log(`  ${name}${given}: root ${root.toFixed(3)}, with kind ${whole.toFixed(3)}`);
      assertGreater(root, 0.9);
      assertGreater(whole, 0.85);
    }
  }
});

Deno.test("chords of tunes in several metres are read back from pads and basses", () => {
  for (const [name, sketch] of Object.entries(SKETCHES)) {
    const pad = { role: "pad", parts: ["Violins I", "Violins II", "Violas"] } as const;
    const plan = wholePlan(sketch, { role: "lead", parts: ["Flute 1"] }, pad, {
      role: "bass",
      parts: ["Cellos"],
    });
    const { root, whole } = readBack(sketch, plan);
    console.log(`  ${name}: root ${root.toFixed(3)}, with kind ${whole.toFixed(3)}`);
    assertGreater(root, 0.85);
  }
});

Deno.test("with their symbols, settings say the sketch's chords to the letter", () => {
  const score = realise(demoSketch(), demoPlans().held);
  const { spans } = readHarmony(score);
  const symbols = score.chords.map((c) => [c.onsetTicks, c.symbol]);
  assertEquals(spans.map((s) => [s.startTicks, s.symbol]), symbols);
});
