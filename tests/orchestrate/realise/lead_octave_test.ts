/** In which octave a lead lies, and what is said where none would do. */
import { assert, assertEquals, assertGreater, assertInstanceOf, assertStringIncludes } from "@std/assert";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { InputError } from "../../../lib/base/errors.ts";
import { instrumentById } from "../../../lib/instruments/catalogue.ts";
import { registerOf } from "../../../lib/instruments/registers.ts";
import { readPlan } from "../../../lib/orchestrate/plan/plan_table.ts";
import type { Plan } from "../../../lib/orchestrate/plan/plan.ts";
import { type Sketch, sketchOf } from "../../../lib/orchestrate/plan/sketch.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { dynamicOf } from "../../../lib/score/dynamics.ts";
import type { Score } from "../../../lib/score/model.ts";
import { random } from "../../setup/random.ts";
import { PLAYERS } from "../../setup/generated_settings.ts";
import { notesOf, SKETCHES, wholePlan } from "../sketches.ts";

const PITCHED = PLAYERS.filter((p) => !instrumentById(p.instrument).unpitched);
const OCTAVES = [-3, -2, -1, 0, 1, 2, 3];

/** A tune of random leaps within some octaves, over random chords. */
function leapingSketch(seed: number): Sketch {
  const next = random(seed);
  const span = 8 + Math.floor(next() * 30);
  const low = 48 + Math.floor(next() * 24);
  const names = ["C", "D", "E", "F", "G", "A", "B"];
  const pitched = Array.from({ length: 16 }, () => {
    const midi = low + Math.floor(next() * span);
    const octave = Math.floor(midi / 12) - 1;
    const name = names[Math.floor((midi % 12) * 7 / 12)]!;
    return octave >= 5 ? name.toLowerCase() + "'".repeat(octave - 5) : name + ",".repeat(4 - octave);
  });
  const chords = ["C", "F", "G7", "Am"];
  const bars = Array.from(
    { length: 4 },
    (_, b) => `"${chords[b]}" ${pitched.slice(4 * b, 4 * b + 4).join(" ")}`,
  );
  return sketchOf(readAbc(`X:1\nT:leaps\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n${bars.join(" | ")} |]\n`));
}

const SEEDS = Array.from({ length: 24 }, (_, i) => i + 1);
const ALL: readonly Sketch[] = [...Object.values(SKETCHES), ...SEEDS.map(leapingSketch)];

/** The refusal for range, if a plan is refused for that. */
function rangeRefusal(sketch: Sketch, plan: Plan): InputError | undefined {
  try {
    realise(sketch, plan, { orchestra: PLAYERS });
    return undefined;
  } catch (error) {
    assertInstanceOf(error, InputError);
    assert(error.message.length <= 300, error.message);
    return error.message.includes("(rule: range)") ? error : undefined;
  }
}

function fits(sketch: Sketch, instrument: string, octave: number): boolean {
  const { low, high } = instrumentById(instrument).rangeExtreme;
  return sketch.tune.every((n) =>
    n.soundingPitch + 12 * octave >= low && n.soundingPitch + 12 * octave <= high
  );
}

const lead = (sketch: Sketch, parts: readonly string[], octave: number | null = null) =>
  wholePlan(sketch, { role: "lead", parts, octave });

Deno.test("a lead without an octave is refused for range only where no octave works", () => {
  let refused = 0;
  for (const sketch of ALL) {
    for (const { name, instrument } of PITCHED) {
      const works = OCTAVES.some((octave) => fits(sketch, instrument, octave));
      const error = rangeRefusal(sketch, lead(sketch, [name]));
      assertEquals(error === undefined, works, `${sketch.title}, ${name}: ${error?.message}`);
      if (error) refused++;
    }
  }
  assertGreater(refused, 20);
});

Deno.test("where the octave asked for is impossible, the message names those that work, and no others", () => {
  let named = 0;
  for (const sketch of ALL.slice(0, 9)) {
    for (const { name, instrument } of PITCHED) {
      for (const octave of [-2, -1, 1, 2]) {
        const error = rangeRefusal(sketch, lead(sketch, [name], octave));
        assertEquals(error === undefined, fits(sketch, instrument, octave), `${name} ${octave}`);
        if (!error) continue;
        const works = OCTAVES.filter((o) => fits(sketch, instrument, o));
        const found = /^Octave (.*) would do/.exec(error.remedy)?.[1]?.match(/-?\d/g)?.map(Number);
        assertEquals(found ?? [], works, `${sketch.title}, ${name} ${octave}: ${error.message}`);
        if (works.length > 0) named++;
      }
    }
  }
  assertGreater(named, 100);
});

Deno.test("where no octave works, the message names parts of the orchestra at hand that rest and could play it", () => {
  let named = 0, nobody = 0;
  for (const sketch of ALL) {
    const busy = { role: "pad", parts: ["Violins I", "Flute 1"] } as const;
    for (const { name, instrument } of PITCHED) {
      if (OCTAVES.some((octave) => fits(sketch, instrument, octave)) || busy.parts.includes(name as never)) {
        continue;
      }
      const plan = wholePlan(sketch, { role: "lead", parts: [name] }, busy);
      const error = rangeRefusal(sketch, plan);
      if (error === undefined) throw new Error(`${name} is let pass`);
      const others = /^No octave suits (.*); (.*) could play it$/.exec(error.remedy);
      if (others === null) {
        assertStringIncludes(error.remedy, "nobody here has all of its notes");
        assert(!PITCHED.some((p) => OCTAVES.some((o) => fits(sketch, p.instrument, o))), error.message);
        nobody++;
        continue;
      }
      assertEquals(others[1], name);
      for (const other of others[2]!.split(/, | or /)) {
        assert(!busy.parts.includes(other as never), error.message);
        assertEquals(rangeRefusal(sketch, lead(sketch, [other])), undefined, other);
        named++;
      }
    }
  }
  assertGreater(named, 20);
  console.log(`parts named ${named}, nobody ${nobody}`);
});

Deno.test("the refusal says where the octave stands, and what to do where the parts of a layer need different ones", () => {
  const sketch = SKETCHES["four-four"]!;
  const table = (parts: string, octave: string) =>
    readPlan(`passage,from_bar,to_bar,role,parts,octave\nA,1,8,lead,${parts},${octave}`, { file: "cue.csv" });
  const high = rangeRefusal(sketch, table("Tuba", "2"))!;
  assertStringIncludes(high.message, "(cue.csv, Tuba, bar 1, beat 1, row 2, column octave)");
  const mixed = rangeRefusal(sketch, table("Piccolo + Contrabassoon", "2"))!;
  assertEquals(mixed.remedy, "No one octave suits all its parts; leave it empty, so that each has its own");
  assertEquals(rangeRefusal(sketch, table("Piccolo + Contrabassoon", "")), undefined);
});

/** The octave a part was given, from its first note. */
const octaveOf = (score: Score, sketch: Sketch, name: string) =>
  (notesOf(score, name)[0]!.soundingPitch - sketch.tune[0]!.soundingPitch) / 12;

Deno.test("a lead lies where it speaks at its dynamic and clear of the bass, wherever an octave has both", () => {
  let decided = 0;
  for (const sketch of ALL.filter((_, i) => i % 2 === 0)) {
    for (const bass of ["Cellos", "Double basses", "Bassoon 1"]) {
      for (const { name, instrument } of PITCHED.filter((p) => p.name !== bass)) {
        for (const dynamic of ["pp", "ff"]) {
          const score = realise(
            sketch,
            wholePlan(sketch, { role: "lead", parts: [name], dynamic }, { role: "bass", parts: [bass] }),
            { orchestra: PLAYERS, refuseImpossible: false },
          );
          const under = notesOf(score, bass);
          const isGood = (octave: number) =>
            notesOf(score, name).every((n) => {
              const pitch = n.soundingPitch + 12 * (octave - octaveOf(score, sketch, name));
              const { register, comfortable } = registerOf(instrumentById(instrument), pitch);
              const level = dynamicOf(dynamic)!;
              return comfortable &&
                (register === null || level >= register.softestDynamic && level <= register.loudestDynamic) &&
                under.every((b) =>
                  b.onsetTicks >= n.onsetTicks + n.durationTicks ||
                  b.onsetTicks + b.durationTicks <= n.onsetTicks || b.soundingPitch + 3 <= pitch
                );
            });
          const good = OCTAVES.filter(isGood);
          if (good.length === 0) continue;
          const at = octaveOf(score, sketch, name);
          assert(
            good.includes(at),
            `${sketch.title}, ${name} over ${bass} at ${dynamic}: ${at}, not ${good}`,
          );
          if (good.length < 4) decided++;
        }
      }
    }
  }
  assertGreater(decided, 200);
});

Deno.test("of octaves that are as good, a lead takes one above its pads, and the tune's own where nothing speaks against it", () => {
  const sketch = sketchOf(readAbc(`X:1\nT:low\nM:4/4\nL:1/4\nK:C\n"C" C E G E | "F" F A G F | "C" E4 |]\n`));
  const under = (pads: readonly string[]) =>
    octaveOf(
      realise(
        sketch,
        wholePlan(sketch, { role: "lead", parts: ["Violins I"] }, { role: "pad", parts: pads }),
      ),
      sketch,
      "Violins I",
    );
  assertEquals(under(["Horns"]), 0);
  assertEquals(under(["Flutes", "Oboes"]), 1);
  const alone = realise(sketch, wholePlan(sketch, { role: "lead", parts: ["Violins I"] }));
  assertEquals(octaveOf(alone, sketch, "Violins I"), 0);
});
