/** Colours of strings on pads: said once, taken back, with time for the mute, divided or not. */
import { assert, assertEquals } from "@std/assert";
import { readMusicXml } from "../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../../lib/formats/musicxml/write/write_musicxml.ts";
import { playability } from "../../../lib/measures/playability/playability.ts";
import { assign, type AssignmentInput, type Plan } from "../../../lib/orchestrate/plan/plan.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import type { Score, Technique } from "../../../lib/score/model.ts";
import { clockOf } from "../../../lib/score/time.ts";
import { notesOf, SKETCHES } from "../sketches.ts";

const SKETCH = SKETCHES["four-four"]!;

/** Three passages of one pad under a tune: before, with a colour, after. */
function coloured(technique: Technique, more: Partial<AssignmentInput> = {}, tempo?: number): Score {
  const layers = (own: Technique): readonly AssignmentInput[] => [
    { role: "lead", parts: ["Flute 1"] },
    { role: "pad", parts: ["Violins II", "Violas", "Cellos"], dynamic: "p", technique: own, ...more },
  ];
  const passage = (name: string, fromBar: number, own: Technique) => ({
    name,
    fromBar,
    toBar: fromBar + 1,
    assignments: layers(own).map(assign),
  });
  const plan: Plan = {
    name: "colours",
    passages: [
      passage("A", 1, "ordinario"),
      passage("B", 3, technique),
      passage("C", 5, technique),
      passage("D", 7, "ordinario"),
    ],
    ...(tempo === undefined ? {} : { quartersPerMinute: tempo }),
  };
  return realise(SKETCH, plan);
}

/** Words about ways of playing in the file of one part. */
function wordsOf(score: Score, name: string): readonly string[] {
  const index = score.parts.findIndex((p) => p.name === name);
  const part = writeMusicXml(score).match(/<part id=[\s\S]*?<\/part>/g)![index]!;
  return [...part.matchAll(/<words[^>]*>([^<]*)<\/words>/g)].map(([, words]) => words!)
    .filter((words) => /sord|tasto|pont|ord\.|div|unis/.test(words));
}

const COLOURS: readonly (readonly [Technique, string, string])[] = [
  ["con sordino", "con sord.", "senza sord."],
  ["sul tasto", "sul tasto", "ord."],
  ["sul ponticello", "sul pont.", "ord."],
];

for (const [technique, begin, end] of COLOURS) {
  for (const figure of ["held chord", "tremolo"] as const) {
    Deno.test(`${technique}, ${figure}: the words stand once where it begins and once where it ends, divided as well`, () => {
      const role = figure === "tremolo" ? "trill" : "pad";
      for (const divisi of ["", "divided", "double stops"] as const) {
        const score = coloured(technique, { role, figure, divisi });
        for (const part of ["Violins II", "Violas", "Cellos"]) {
          const words = wordsOf(score, part);
          assertEquals(words.filter((w) => !/div|unis/.test(w)), [begin, end], divisi);
          assertEquals(
            words.filter((w) => /div/.test(w)),
            divisi === "" ? [] : divisi === "divided" ? ["div."] : ["non div."],
          );
        }
        const read = readMusicXml(writeMusicXml(score));
        assertEquals(read.notes.map((n) => n.technique), score.notes.map((n) => n.technique));
        assertEquals(playability(score).findings.filter((f) => f.severity === "impossible"), []);
      }
    });
  }
}

Deno.test("a mute has time to be put on and to be taken off, at any tempo", () => {
  for (const tempo of [60, 92, 160]) {
    for (const more of [{}, { divisi: "divided" }, { role: "pulse", figure: "repeated eighths" }] as const) {
      const score = coloured("con sordino", more, tempo);
      const clock = clockOf(score);
      for (const part of ["Violins II", "Violas", "Cellos"]) {
        const notes = notesOf(score, part);
        const muted = notes.filter((n) => n.technique === "con sordino");
        const plain = notes.filter((n) => n.technique !== "con sordino");
        const [on, off] = [
          muted[0]!.onsetTicks,
          Math.max(...muted.map((n) => n.onsetTicks + n.durationTicks)),
        ];
        const before = Math.max(
          ...plain.filter((n) => n.onsetTicks < on).map((n) => n.onsetTicks + n.durationTicks),
        );
        const after = Math.min(...plain.filter((n) => n.onsetTicks >= off).map((n) => n.onsetTicks));
        // Common practice: two seconds to put it on, one to take it off.
        assert(clock(on) - clock(before) >= 2, `${part} at ${tempo}: ${clock(on) - clock(before)} s`);
        assert(clock(after) - clock(off) >= 1, `${part} at ${tempo}: ${clock(after) - clock(off)} s`);
      }
      assertEquals(playability(score).findings.filter((f) => f.rule === "change of manner"), []);
    }
  }
});

Deno.test("a tune is not cut for a mute: what comes in after it waits", () => {
  const layers = (technique: Technique, role: "lead" | "pad"): readonly AssignmentInput[] => [
    { role, parts: ["Violas"], technique },
    { role: role === "lead" ? "pad" : "lead", parts: ["Clarinet 1"] },
  ];
  const plan: Plan = {
    name: "from tune to pad",
    passages: [
      { name: "A", fromBar: 1, toBar: 4, assignments: layers("ordinario", "lead").map(assign) },
      { name: "B", fromBar: 5, toBar: 8, assignments: layers("con sordino", "pad").map(assign) },
    ],
  };
  const score = realise(SKETCH, plan);
  const bar = score.bars[4]!.startTicks;
  const notes = notesOf(score, "Violas");
  assertEquals(
    Math.max(...notes.filter((n) => n.onsetTicks < bar).map((n) => n.onsetTicks + n.durationTicks)),
    bar,
  );
  const first = notes.find((n) => n.technique === "con sordino")!;
  const clock = clockOf(score);
  assert(clock(first.onsetTicks) - clock(bar) >= 2);
});

Deno.test("a muted tune that goes on into an open second line has time to take the mute off: the line comes in later", () => {
  const passage = (
    name: string,
    [fromBar, toBar]: readonly [number, number],
    layers: readonly AssignmentInput[],
  ) => ({
    name,
    fromBar,
    toBar,
    assignments: layers.map(assign),
  });
  const score = realise(SKETCH, {
    name: "from muted tune to second line",
    quartersPerMinute: 132,
    passages: [
      passage("A", [1, 4], [{ role: "lead", parts: ["Violas"], technique: "con sordino" }]),
      passage("B", [5, 8], [{ role: "lead", parts: ["Clarinet 1"] }, {
        role: "counterline",
        parts: ["Violas"],
      }]),
    ],
  });
  const bar = score.bars[4]!.startTicks;
  const notes = notesOf(score, "Violas");
  const muted = notes.filter((n) => n.technique === "con sordino");
  assertEquals(Math.max(...muted.map((n) => n.onsetTicks + n.durationTicks)), bar);
  const clock = clockOf(score);
  const open = notes.find((n) => n.onsetTicks >= bar)!;
  assert(clock(open.onsetTicks) - clock(bar) >= 1);
  assert(open.onsetTicks < score.bars[5]!.startTicks, "and no later than it has to");
});
