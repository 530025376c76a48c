/** How figures end and begin: what runs on lands, runs go together, suspensions are held. Common practice, no source. */
import { assert, assertEquals, assertGreater } from "@std/assert";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { writeMusicXml } from "../../../lib/formats/musicxml/write/write_musicxml.ts";
import { assign, type Plan } from "../../../lib/orchestrate/plan/plan.ts";
import { sketchOf } from "../../../lib/orchestrate/plan/sketch.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { FIGURES } from "../../../lib/texture/figures.ts";
import { harmonyAt, notesOf, passagePlan, pitchClass, SKETCHES, wholePlan } from "../sketches.ts";

/** Figures that run on without a gap. */
const UNBROKEN = FIGURES.filter((f) =>
  f.role === "figuration" || f.role === "run" && f.id.startsWith("running")
);

Deno.test("what runs on lands on a tone of the chord on the downbeat after its passage", () => {
  const sketch = SKETCHES["four-four"]!;
  for (const figure of UNBROKEN) {
    const layer = { role: figure.role, figure: figure.id, parts: ["Violins I", "Cellos"] };
    const score = realise(sketch, passagePlan(1, 4, layer), { refuseImpossible: false });
    const downbeat = score.bars[4]!.startTicks;
    for (const part of layer.parts) {
      const landing = notesOf(score, part).at(-1)!;
      assertEquals(landing.onsetTicks, downbeat, `${figure.id}, ${part}`);
      if (figure.id.startsWith("ostinato")) continue;
      const tones = harmonyAt(sketch, score, downbeat)!.tones.map((t) => t.pitchClass);
      assert(tones.includes(pitchClass(landing.soundingPitch)), `${figure.id}, ${part}`);
    }
  }
});

Deno.test("who plays on in another layer lands on its first note, and on nothing else", () => {
  const sketch = SKETCHES["four-four"]!;
  const layers = (["broken chord in eighths", "broken chord in sixteenths"] as const).map((figure) =>
    assign({ role: "figuration", figure, parts: ["Violas"] })
  );
  const plan: Plan = {
    name: "two",
    passages: [
      { name: "A", fromBar: 1, toBar: 4, assignments: [layers[0]!] },
      { name: "B", fromBar: 5, toBar: 8, assignments: [layers[1]!] },
    ],
  };
  const score = realise(sketch, plan);
  const onDownbeat = notesOf(score, "Violas").filter((n) => n.onsetTicks === score.bars[4]!.startTicks);
  assertEquals(onDownbeat.map((n) => n.durationTicks), [score.ticksPerQuarter / 4]);
});

Deno.test("in the last bar what runs on ends with the last note of the tune", () => {
  const sketch = SKETCHES["four-four"]!;
  for (const figure of UNBROKEN) {
    const score = realise(
      sketch,
      wholePlan(sketch, { role: "lead", parts: ["Oboe 1"] }, {
        role: figure.role,
        figure: figure.id,
        parts: ["Violas"],
      }),
      { refuseImpossible: false },
    );
    const [tune, own] = ["Oboe 1", "Violas"].map((part) => notesOf(score, part).at(-1)!);
    assertEquals(own!.onsetTicks, tune!.onsetTicks, figure.id);
  }
});

Deno.test("parts that run together begin together and arrive in unison or octaves; in unequal groups they begin with one", () => {
  const inGroups = sketchOf(readAbc(
    `X:1\nT:Weir\nM:2+2+3/8\nL:1/8\nQ:1/4=100\nK:Bb\n"Bb" B2 c2 d3 | "Eb" g2 f2 e3 | "F7" c2 e2 d3 | "Bb" B7 |]\n`,
    { file: "weir.abc" },
  ));
  for (const sketch of [SKETCHES["four-four"]!, SKETCHES["six-eight"]!, inGroups]) {
    for (const figure of ["scale into the bar", "scale down into the bar"] as const) {
      const parts = ["Piccolo", "Flute 1", "Clarinet 1", "Violas"];
      const score = realise(sketch, wholePlan(sketch, { role: "run", figure, parts }));
      const lines = parts.map((part) =>
        notesOf(score, part).map((n) => `${n.onsetTicks} ${pitchClass(n.soundingPitch)}`)
      );
      assertGreater(lines[0]!.length, 3);
      for (const line of lines) assertEquals(line, lines[0]);
      if (sketch !== inGroups) continue;
      const { startTicks } = score.bars[1]!;
      const first = notesOf(score, "Flute 1")[0]!;
      assertEquals((first.onsetTicks - startTicks) / score.ticksPerQuarter, 2);
    }
  }
});

Deno.test("a note held on against a new chord is one note, never struck again", () => {
  for (const sketch of Object.values(SKETCHES)) {
    const score = realise(
      sketch,
      wholePlan(sketch, { role: "lead", parts: ["Oboe 1"] }, { role: "counterline", parts: ["Cellos"] }),
    );
    const line = notesOf(score, "Cellos");
    line.slice(1).forEach((n, i) => {
      const before = line[i]!;
      if (n.soundingPitch !== before.soundingPitch) return;
      const tones = harmonyAt(sketch, score, n.onsetTicks)!.tones.map((t) => t.pitchClass);
      assert(tones.includes(pitchClass(n.soundingPitch)), `tick ${n.onsetTicks}`);
    });
  }
});

Deno.test("Alberti and wide figures begin anew with every beat of 6/8", () => {
  const sketch = SKETCHES["six-eight"]!;
  for (
    const [figure, turns] of [
      ["Alberti figure in eighths", "0 2 1 0 2 1"],
      ["Alberti figure in sixteenths", "0 2 1 2 1 2 0 2 1 2 1 2"],
    ] as const
  ) {
    const score = realise(sketch, wholePlan(sketch, { role: "figuration", figure, parts: ["Violas"] }));
    const bar = notesOf(score, "Violas").filter((n) => n.onsetTicks < score.bars[1]!.startTicks);
    const order = [...new Set(bar.map((n) => n.soundingPitch))].sort((a, b) => a - b);
    assertEquals(bar.map((n) => order.indexOf(n.soundingPitch)).join(" "), turns, figure);
  }
});

Deno.test("the page of a setting: slashes for tremolos, one rest for a group of three, trebles for horns, quarters for a quick 7/8", () => {
  const sketch = sketchOf(readAbc(
    `X:1\nT:Weir\nM:2+2+3/8\nL:1/8\nQ:1/4=168\nK:Bb\n"Bb" B2 c2 d3 | "Eb" g2 f2 e3 |]\n`,
    { file: "weir.abc" },
  ));
  const xml = writeMusicXml(realise(
    sketch,
    wholePlan(
      sketch,
      { role: "trill", figure: "tremolo", parts: ["Violas"] },
      { role: "punctuation", parts: ["Trombone 1"] },
      { role: "pad", parts: ["Horns"], dynamic: "p" },
    ),
  ));
  assert(xml.includes(`<tremolo type="single">`) && !xml.includes("unmeasured"));
  const rests = /<rest\/>\s*<duration>\d+<\/duration>\s*<voice>1<\/voice>\s*<type>quarter<\/type>\s*<dot\/>/;
  assert(rests.test(xml));
  assertEquals(xml.match(/<sign>F<\/sign>/g)?.length, 1, "the trombone alone reads the bass clef");
  assert(/<beat-unit>quarter<\/beat-unit>\s*<per-minute>168</.test(xml));
});
