/** Chords that settings were written with, read back off their notes alone: the truth is known to the tick. */
import { assertEquals, assertGreater } from "@std/assert";
import { demoPlans, demoSketch } from "../../lib/demo.ts";
import { readHarmony } from "../../lib/harmony/read_harmony.ts";
import type { Plan } from "../../lib/orchestrate/plan/plan.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";
import { readChordSymbol } from "../../lib/score/chord_symbol.ts";
import { readAbc } from "../../lib/formats/abc/read_abc.ts";
import { type Sketch, sketchOf } from "../../lib/orchestrate/plan/sketch.ts";
import { random } from "../setup/random.ts";
import { textureOf } from "../../lib/texture/recognise/recognise.ts";
import { SKETCHES, type TestLayer, wholePlan } from "../orchestrate/sketches.ts";

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

/** Keys of the generated sketches with their steps: root as a note name of the scale and the chord on it. */
const SCALES = {
  C: ["C", "Dm", "Em", "F", "G", "Am"],
  "Bb": ["Bb", "Cm", "Dm", "Eb", "F", "Gm"],
  A: ["A", "Bm", "C#m", "D", "E", "F#m"],
} as const;
/** What may follow a step, by its place in the scale: common practice. */
const AFTER = [[3, 4, 5, 1], [4], [5, 3], [4, 0, 1], [0, 5], [3, 1, 4]];
const METRES = { "4/4": 4, "3/4": 3, "6/8": 2 } as const;
const FIGURES: readonly (readonly TestLayer[])[] = [
  [{ role: "pad", parts: ["Violins I", "Violins II", "Violas"] }],
  [{ role: "pulse", figure: "repeated eighths", parts: ["Violins I", "Violins II", "Violas"] }],
  [{ role: "figuration", figure: "broken chord in eighths", parts: ["Violins II", "Violas"] }],
  [{ role: "pad", parts: ["Horns"] }, {
    role: "figuration",
    figure: "broken chord in sixteenths",
    parts: [
      "Violins II",
    ],
  }],
];

/** A sketch made at random: sixteen bars of one chord each, sevenths on some dominants, a tune of chord and passing tones. */
function generated(seed: number): Sketch {
  const next = random(seed);
  const pick = <T>(of: readonly T[]): T => of[Math.floor(next() * of.length)]!;
  const key = pick(Object.keys(SCALES) as (keyof typeof SCALES)[]);
  const metre = pick(Object.keys(METRES) as (keyof typeof METRES)[]);
  const beats = METRES[metre];
  let step = 0;
  const bars = Array.from({ length: 16 }, (_, bar) => {
    step = bar === 15 || bar === 0 ? 0 : bar === 14 ? 4 : pick(AFTER[step]!);
    const seventh = step === 4 && next() < 0.4 ? "7" : "";
    const letters = "CDEFGABcdefgab";
    const root = letters.indexOf(SCALES[key][step]![0]!);
    const tone = (up: number) => letters[root + up]!;
    const tune = Array.from(
      { length: beats },
      (_, beat) => beat > 0 && next() < 0.3 ? tone(1) : tone(pick([0, 2, 4])),
    );
    const long = metre === "6/8" ? "3" : "";
    return `"${SCALES[key][step]}${seventh}" ${tune.map((note) => note + long).join(" ")}`;
  });
  const head = `M:${metre}\nL:${metre === "6/8" ? "1/8" : "1/4"}\nQ:1/4=96\nK:${key}`;
  return sketchOf(
    readAbc(`X:1\nT:generated ${seed}\n${head}\n${bars.join(" | ")} |]\n`, { file: "generated.abc" }),
  );
}

Deno.test("chords of generated sketches are read back, however they are figured", () => {
  for (const [name, layers] of FIGURES.entries()) {
    const shares = Array.from({ length: 24 }, (_, seed) => {
      const sketch = generated(seed + 1);
      return readBack(
        sketch,
        wholePlan(sketch, { role: "lead", parts: ["Flute 1"] }, ...layers, {
          role: "bass",
          parts: ["Cellos"],
        }),
      );
    });
    const mean = (of: "root" | "whole") => shares.reduce((sum, share) => sum + share[of], 0) / shares.length;
    const least = Math.min(...shares.map((share) => share.root));
    const what = layers.map(({ role, figure }) => figure ?? role).join(", ");
    console.log(
      `  ${what}: root ${mean("root").toFixed(3)} (least ${least.toFixed(3)}), with kind ${
        mean("whole").toFixed(3)
      }`,
    );
    assertGreater(mean("root"), 0.95, `${name}`);
    assertGreater(mean("whole"), 0.85, `${name}`);
  }
});

Deno.test("sevenths, fourths and ninths that pads hold for a bar are read back", () => {
  const chords = ["C", "Am7", "Fmaj7", "Gsus4", "Dm9", "G7sus4", "Em7", "Cmaj9", "Fadd9", "Dm7", "G7"];
  const next = random(3);
  const shares = Array.from({ length: 10 }, () => {
    const bars = Array.from({ length: 16 }, () => chords[Math.floor(next() * chords.length)]!)
      .map((symbol) =>
        `"${symbol}" ${readChordSymbol(symbol)!.tones[Math.floor(next() * 3)]!.name.toLowerCase()}4`
      );
    const text = `X:1\nT:held\nM:4/4\nL:1/4\nQ:1/4=80\nK:C\n${bars.join(" | ")} |]\n`;
    const sketch = sketchOf(readAbc(text, { file: "held.abc" }));
    const pad = { role: "pad", parts: ["Violins I", "Violins II", "Violas", "Horns"] } as const;
    return readBack(
      sketch,
      wholePlan(sketch, { role: "lead", parts: ["Flute 1"] }, pad, { role: "bass", parts: ["Cellos"] }),
    );
  });
  const [root, whole] = (["root", "whole"] as const).map((of) =>
    shares.reduce((sum, share) => sum + share[of], 0) / shares.length
  );
  console.log(`  root ${root!.toFixed(3)}, with kind ${whole!.toFixed(3)}`);
  assertGreater(root!, 0.9);
  assertGreater(whole!, 0.75);
});

Deno.test("with their symbols, settings say the sketch's chords to the letter", () => {
  const score = realise(demoSketch(), demoPlans().held);
  const { spans } = readHarmony(score);
  const symbols = score.chords.map((c) => [c.onsetTicks, c.symbol]);
  assertEquals(spans.map((s) => [s.startTicks, s.symbol]), symbols);
});
