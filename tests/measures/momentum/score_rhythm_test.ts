import { assertEquals, assertNotStrictEquals, assertStrictEquals } from "@std/assert";
import fc from "fast-check";
import { balance, momentum, type Note, type Score, textureOf } from "ripieno";
import { areSameAttacks, attacksOf } from "../../../lib/measures/momentum/attacks.ts";
import { MOMENTUM_CONSTANTS, momentumMeasurer } from "../../../lib/measures/momentum/momentum.ts";
import { rhythmMemory } from "../../../lib/measures/momentum/score_rhythm.ts";
import { soundingNotes } from "../../../lib/score/build.ts";
import { applySettings } from "../../../lib/base/settings.ts";
import { type LineNote, smallScore } from "../small_scores.ts";

const SETTINGS = applySettings("momentum", MOMENTUM_CONSTANTS);

/** A line of quarters that differs from others in what may or may not bear on its rhythm. */
const aLine = fc.array(
  fc.record({
    quarters: fc.constantFrom(0.5, 1),
    pitch: fc.constantFrom(60, 62),
    dynamic: fc.constantFrom(3, 6),
    slurred: fc.constantFrom(false, false, true),
    tremoloSlashes: fc.constantFrom(0, 0, 2),
    articulations: fc.constantFrom<Note["articulations"]>([], [], ["staccato"], ["tenuto"], ["breath"]),
  }),
  { minLength: 4, maxLength: 4 },
).map((notes) => notes.map((note, i): LineNote => ({ at: i, ...note })));

const aScore = fc.record({
  line: aLine,
  tempo: fc.constantFrom(60, 60, 90),
  lead: fc.constantFrom(3, 6),
}).map(({ line, tempo, lead }): Score =>
  smallScore([
    { instrument: "violin", role: "lead", notes: [{ at: 0, quarters: 4, pitch: 79, dynamic: lead }] },
    { instrument: "viola", role: "pulse", notes: line },
  ], { quartersPerMinute: tempo })
);

Deno.test("areSameAttacks(): what it calls the same attacks alike, at the same places, as strongly and as far apart", () => {
  let same = 0;
  fc.assert(
    fc.property(aScore, aLine, fc.nat(3), (score, line, at) => {
      const viola = score.notes.filter((n) => n.part === 1);
      const { at: _at, pitch: _pitch, quarters, ...signs } = line[at]!;
      const changed = {
        ...viola[at]!,
        ...signs,
        durationTicks: quarters * score.ticksPerQuarter,
      };
      const other = { ...score, notes: score.notes.map((n) => n === viola[at] ? changed : n) };
      if (!areSameAttacks(soundingNotes(score), soundingNotes(other), SETTINGS)) return;
      same++;
      assertEquals(attacksOf(other, SETTINGS), attacksOf(score, SETTINGS));
    }),
    { numRuns: 400 },
  );
  assertEquals(same > 40, true, `${same} alike`);
});

Deno.test("momentumMeasurer() gives what momentum() gives, whatever it measured before", () => {
  fc.assert(
    fc.property(fc.array(aScore, { minLength: 2, maxLength: 20 }), (scores) => {
      const measure = momentumMeasurer();
      for (const score of scores) {
        const texture = textureOf(score), heard = balance(score, { texture, detail: "quick" });
        assertEquals(measure(score, texture, heard), momentum(score, { texture, balance: heard }));
      }
    }),
    { numRuns: 25 },
  );
});

Deno.test("momentumMeasurer() takes no rhythm for that of a score that differs in one thing alone", () => {
  const notes = [0, 0.5, 1, 2.5, 4, 5, 6].map((at): LineNote => ({
    at,
    quarters: 0.5,
    pitch: 62 + at,
    dynamic: 5,
  }));
  const lead = [{ at: 0, quarters: 8, pitch: 79 }];
  const score = smallScore([
    { instrument: "violin", role: "lead", notes: lead },
    { instrument: "viola", role: "pulse", notes },
  ]);
  const [first, second] = score.bars;
  const some = (change: Partial<Note>) => ({
    ...score,
    notes: score.notes.map((n, i) => i === 3 ? { ...n, ...change } : n),
  });
  const variants: readonly Score[] = [
    { ...score, ticksPerQuarter: 2 * score.ticksPerQuarter },
    { ...score, tempos: [{ ...score.tempos[0]!, quartersPerMinute: 80 }] },
    { ...score, tempos: [...score.tempos, { onsetTicks: 384, quartersPerMinute: 80, origin: "marked" }] },
    { ...score, bars: [first!, { ...second!, beats: 6, beatUnit: 8 }] },
    { ...score, bars: [first!, { ...second!, beats: 3 }] },
    { ...score, bars: [first!, { ...second!, durationTicks: 480 }] },
    {
      ...score,
      bars: [{ ...first!, durationTicks: 288 }, { ...second!, startTicks: 288, durationTicks: 480 }],
    },
    { ...score, layers: score.layers!.map((l) => l.role === "pulse" ? { ...l, role: "figuration" } : l) },
    { ...score, notes: score.notes.slice(0, -1) },
    some({ soundingPitch: 85 }),
    some({ unpitched: true }),
    some({ onsetTicks: 120 }),
    some({ tremoloSlashes: 1 }),
    some({ slurred: true }),
  ];
  const measure = momentumMeasurer();
  const of = (one: Score) => {
    const texture = textureOf(one), heard = balance(one, { texture, detail: "quick" });
    assertEquals(measure(one, texture, heard), momentum(one, { texture, balance: heard }));
  };
  for (const variant of variants) {
    of(score);
    of(variant);
  }
});

Deno.test("rhythmMemory() shares the rhythm of scores that differ in how loud they are alone, and of the last it was asked for", () => {
  const line = (dynamic: number, more: Partial<LineNote> = {}) =>
    smallScore([
      {
        instrument: "violin",
        role: "lead",
        notes: [0, 1, 2, 3].map((at) => ({ at, quarters: 1, pitch: 70 + at, dynamic })),
      },
      { instrument: "viola", role: "pulse", notes: [{ at: 0, quarters: 4, pitch: 60, dynamic, ...more }] },
    ], { bars: 1 });
  const memory = rhythmMemory();
  const ask = (score: Score, audible = 1) =>
    memory(score, {
      texture: textureOf(score),
      audibilities: Float64Array.from(score.parts, () => audible),
      constants: SETTINGS,
    });
  const soft = ask(line(3));
  assertStrictEquals(ask(line(6)), soft);
  assertStrictEquals(ask(line(6), 0.5), soft, "heard less well");
  const other = ask(line(3, { quarters: 3 }));
  assertNotStrictEquals(other, soft);
  assertStrictEquals(ask(line(4)), soft);
  assertStrictEquals(ask(line(4, { quarters: 3 })), other);
  assertNotStrictEquals(ask(line(3), 0), soft, "not heard at all");
});
