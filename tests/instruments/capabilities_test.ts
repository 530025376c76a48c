import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import fc from "fast-check";
import { capabilities, instrumentById, playability } from "ripieno";
import { breathSeconds, type CapabilitiesOptions, rateLimits, separateNoteLimit } from "ripieno/instruments";
import { repeatedNotes, smallScore } from "../measures/small_scores.ts";

const ask = (id: string, options: CapabilitiesOptions) => capabilities(instrumentById(id), options);
const verdict = (id: string, technique: string, options: CapabilitiesOptions) =>
  ask(id, options).techniques.find((each) => each.technique === technique)!;

// The planner's question. data/rates.csv: horn, double tonguing 9.3 kept up, 11.3 in a burst (common practice, no
// source); sixteenths at 152 are 152 / 60 * 4 = 10.13 a second, eight bars of four 12.6 seconds.
Deno.test("capabilities(): can horns double-tongue sixteenths at 152 for eight bars, forte, in this register?", () => {
  const asked = { bpm: 152, dynamic: 6, beats: 32, soundingPitch: 60 };
  const { perSecond, lengthSeconds, breaths, dynamicPossible, register } = ask("horn in F", asked);
  assertAlmostEquals(perSecond, 10.133, 0.001);
  assertAlmostEquals(lengthSeconds, 12.63, 0.01);
  const double = verdict("horn in F", "double tonguing", asked);
  assertEquals([double.possible, double.conventional, double.limitPerSecond], [false, true, 9.3]);
  assertEquals(verdict("horn in F", "single tonguing", asked).possible, false);
  assertEquals([breaths, dynamicPossible, register], [2, true, "middle"]);
});

Deno.test("capabilities(): what would do: a bar of it, a slower tempo, a trumpet; not a lower register", () => {
  const asked = { bpm: 152, dynamic: 6, beats: 32, soundingPitch: 60 };
  const double = (id: string, change: Partial<CapabilitiesOptions>) =>
    verdict(id, "double tonguing", { ...asked, ...change }).possible;
  assertEquals(double("horn in F", { beats: 4 }), true);
  assertEquals(double("horn in F", { bpm: 138 }), true);
  assertEquals(double("trumpet in C", { soundingPitch: 67 }), true);
  assertEquals(double("horn in F", { beats: 4, soundingPitch: 45 }), true);
  assertEquals(double("horn in F", { beats: 4, soundingPitch: 36 }), false);
});

Deno.test("capabilities(): a high horn does not speak at pp, a violin needs no breath, an oboist has to be asked", () => {
  assertEquals(ask("horn in F", { bpm: 60, dynamic: 2, soundingPitch: 76 }).dynamicPossible, false);
  assertEquals(ask("horn in F", { bpm: 60, dynamic: 6, soundingPitch: 100 }).dynamicPossible, false);
  assertEquals(ask("violin", { bpm: 60 }).breaths, null);
  const oboe = verdict("oboe", "double tonguing", { bpm: 150, beats: 4, soundingPitch: 72 });
  assertEquals([oboe.possible, oboe.conventional], [true, false]);
});

Deno.test("capabilities(): breaths follow the register and the dynamic as breathSeconds() has them", () => {
  const flute = instrumentById("flute");
  for (const dynamic of [2, 4, 6, 8]) {
    for (const soundingPitch of [60, 76, 88]) {
      const { breaths, lengthSeconds } = capabilities(flute, { bpm: 60, beats: 40, dynamic, soundingPitch });
      assertEquals(breaths, Math.ceil(lengthSeconds / breathSeconds(flute, dynamic, { soundingPitch })!));
    }
  }
});

Deno.test("capabilities(): never more over a longer time, at a faster tempo, or in a slower register", () => {
  const ids = fc.constantFrom(
    "flute",
    "oboe",
    "horn in F",
    "tuba",
    "viola",
    "timpani",
    "piano",
    "harp",
    "soprano",
  );
  fc.assert(
    fc.property(ids, fc.integer({ min: 40, max: 220 }), fc.integer({ min: 1, max: 64 }), (id, bpm, beats) => {
      const possible = (change: Partial<CapabilitiesOptions>) =>
        new Set(
          ask(id, { bpm, beats, ...change }).techniques.filter((t) => t.possible).map((t) => t.technique),
        );
      const now = possible({});
      for (const harder of [possible({ beats: 2 * beats }), possible({ bpm: 1.5 * bpm })]) {
        assert([...harder].every((technique) => now.has(technique)), `${id}, ${bpm}, ${beats}`);
      }
    }),
    { seed: 5, numRuns: 200 },
  );
});

Deno.test("capabilities() and playability() answer alike: what a usual technique keeps up has no finding", () => {
  const lines = [
    ["flute", 76],
    ["oboe", 72],
    ["bassoon", 53],
    ["horn in F", 60],
    ["trumpet in C", 67],
    [
      "tenor trombone",
      53,
    ],
    ["tuba", 45],
    ["violin", 69],
    ["cello", 50],
    ["xylophone", 84],
    ["piano", 60],
  ] as const;
  let compared = 0;
  for (const [id, soundingPitch] of lines) {
    const instrument = instrumentById(id);
    for (const bpm of [100, 120, 132, 144, 160, 176, 200]) {
      for (const bars of [1, 2, 8]) {
        const { techniques, perSecond } = capabilities(instrument, { bpm, beats: 4 * bars, soundingPitch });
        const usual = techniques.filter((t) =>
          t.kind === "repeated" && t.conventional && t.technique !== "pizzicato"
        );
        const limit = Math.max(...usual.map((t) => t.limitPerSecond));
        // A run of notes is one step shorter than its beats; near the limit the two may differ.
        if (Math.abs(perSecond / limit - 1) < 0.03) continue;
        compared++;
        const score = smallScore([{
          instrument: id,
          role: "pulse",
          notes: repeatedNotes(soundingPitch, 0.25, { to: 4 * bars }),
        }], { bars, quartersPerMinute: bpm });
        const found = playability(score).findings.filter((f) => f.rule === "repeated-note rate");
        assertEquals(found.length > 0, perSecond > limit, `${id}, ${bpm}, ${bars}`);
      }
    }
  }
  assert(compared > 200, `${compared} compared`);
});

Deno.test("capabilities(): every verdict carries the source of its rate", () => {
  const violin = instrumentById("violin");
  const sources = new Map(rateLimits(violin).map((limit) => [limit.technique, limit.source]));
  for (const each of capabilities(violin, { bpm: 120 }).techniques) {
    assertEquals(each.source, sources.get(each.technique));
  }
  assertEquals(separateNoteLimit(violin)?.technique, "sautillé");
});
