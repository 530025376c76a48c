import { assertAlmostEquals, assertEquals } from "@std/assert";
import { areSameAttacks, attacksOf } from "../../../lib/measures/momentum/attacks.ts";
import { TREMOLO_RATES } from "../../../lib/score/tremolo.ts";
import type { Note, Score } from "ripieno";
import { type LineNote, repeatedNotes, smallScore, TICKS_PER_QUARTER } from "../small_scores.ts";

const STRENGTHS = {
  slurredStrength: 0.4,
  broadStrength: 0.8,
  tremoloStrength: 0.05,
  ...TREMOLO_RATES,
};
const line = (notes: readonly LineNote[], quartersPerMinute = 60): Score =>
  smallScore([{ instrument: "violin", role: "lead", notes }], { quartersPerMinute });
const strengths = (more: Partial<Note>) =>
  attacksOf(line([{ at: 0, quarters: 1, pitch: 60, ...more }]), STRENGTHS).map((a) => a.strength);

Deno.test("attacksOf() strength: full for a stroke, less for broad and slurred ones", () => {
  assertEquals(strengths({}), [1]);
  assertEquals(strengths({ articulations: ["staccato"] }), [1]);
  assertEquals(strengths({ articulations: ["tenuto"] }), [0.8]);
  assertEquals(strengths({ articulations: ["portato"] }), [0.8]);
  assertEquals(strengths({ articulations: ["tenuto", "accent"] }), [1]);
  assertEquals(strengths({ articulations: ["breath"] }), [1]);
  assertEquals(strengths({ slurred: true }), [0.4]);
  assertEquals(strengths({ slurred: true, articulations: ["portato"] }), [0.8]);
  assertEquals(strengths({ technique: "pizzicato" }), [1]);
});

Deno.test("attacksOf() gives chords one attack, ties one, grace and cue notes none", () => {
  const chord = [60, 64, 67].map((pitch) => ({ at: 0, quarters: 1, pitch }));
  assertEquals(attacksOf(line(chord), STRENGTHS).length, 1);
  assertEquals(attacksOf(line([{ at: 0, quarters: 8, pitch: 60, noteheads: 3 }]), STRENGTHS).length, 1);
  assertEquals(strengths({ grace: true }), []);
  assertEquals(strengths({ cue: true }), []);
  const mixed = [{ at: 0, quarters: 1, pitch: 60, slurred: true }, { at: 0, quarters: 1, pitch: 64 }];
  assertEquals(attacksOf(line(mixed), STRENGTHS).map((a) => a.strength), [1]);
});

Deno.test("attacksOf() writes slashes out: full strength while measured, a shimmer above the limit", () => {
  // A half note: two slashes are sixteenths, 4 a second at 60; three are 16 a second at 120.
  const slow = attacksOf(line([{ at: 0, quarters: 2, pitch: 60, tremoloSlashes: 2 }]), STRENGTHS);
  assertEquals(slow.map((a) => a.strength), new Array(8).fill(1));
  const fast = attacksOf(line([{ at: 0, quarters: 2, pitch: 60, tremoloSlashes: 3 }], 120), STRENGTHS);
  assertEquals(fast.map((a) => a.strength), [1, ...new Array(15).fill(0.05)]);
  assertAlmostEquals(fast[1]!.seconds, 1 / 16, 1e-9);
});

Deno.test("attacksOf() takes the word of a source that calls a tremolo measured or unmeasured, at any rate", () => {
  // A whole note: three slashes are 7.7 strokes a second at 58, four slashes 32 at 120.
  const of = (tremoloSlashes: number, quartersPerMinute: number, tremolo: "measured" | "unmeasured") =>
    attacksOf(
      line([{ at: 0, quarters: 4, pitch: 60, tremoloSlashes, tremolo }], quartersPerMinute),
      STRENGTHS,
    )
      .map((a) => a.strength);
  assertEquals(of(3, 58, "unmeasured"), [1, ...new Array(31).fill(0.05)]);
  assertEquals(of(4, 120, "measured"), new Array(64).fill(1));
});

Deno.test("attacksOf() puts attacks into bars and seconds, through a change of tempo, in order", () => {
  const score = smallScore([
    { instrument: "violin", role: "lead", notes: repeatedNotes(60, 1) },
    { instrument: "flute", role: "pulse", notes: repeatedNotes(72, 2) },
  ], { quartersPerMinute: 60, tempos: [[4, 120]] });
  const attacks = attacksOf(score, STRENGTHS);
  assertEquals(attacks.filter((a) => a.part === 0).map((a) => a.seconds), [0, 1, 2, 3, 4, 4.5, 5, 5.5]);
  assertEquals(attacks.filter((a) => a.part === 0).map((a) => a.barIndex), [0, 0, 0, 0, 1, 1, 1, 1]);
  assertEquals(attacks.slice(0, 3).map((a) => [a.ticks / TICKS_PER_QUARTER, a.part]), [[0, 0], [0, 1], [
    1,
    0,
  ]]);
});

Deno.test("attacksOf() counts the gap of every attack to the next of its part, of the last to its own end", () => {
  const short = { quarters: 0.25, pitch: 60 };
  const score = smallScore([
    { instrument: "violin", role: "lead", notes: [0, 1, 3].map((at) => ({ ...short, at })) },
    { instrument: "viola", role: "pad", notes: [0, 2].map((at) => ({ ...short, at })) },
  ], { quartersPerMinute: 60 });
  const gaps = attacksOf(score, STRENGTHS).map((a) => [a.seconds, a.part, a.gapSeconds]);
  assertEquals(gaps, [[0, 0, 1], [0, 1, 2], [1, 0, 2], [2, 1, 0.25], [3, 0, 0.25]]);
});

Deno.test("attacksOf() are in the order of time, strokes of a slashed note among those of other parts", () => {
  const score = smallScore([
    { instrument: "violin", role: "pulse", notes: [{ at: 0, quarters: 2, pitch: 67, tremoloSlashes: 1 }] },
    {
      instrument: "viola",
      role: "pad",
      notes: [0.25, 1, 1.25].map((at) => ({ at, quarters: 0.25, pitch: 60 })),
    },
  ], { quartersPerMinute: 60 });
  assertEquals(attacksOf(score, STRENGTHS).map((a) => [a.seconds, a.part, a.gapSeconds]), [
    [0, 0, 0.5],
    [0.25, 1, 0.75],
    [0.5, 0, 0.5],
    [1, 0, 0.5],
    [1, 1, 0.25],
    [1.25, 1, 0.25],
    [1.5, 0, 0.5],
  ]);
});

Deno.test("attacksOf() writes no stroke out for half of one or less", () => {
  const of = (quarters: number) => strengths({ quarters, tremoloSlashes: 1 } as Partial<Note>).length;
  // Strokes of quarters and more are eighths.
  assertEquals([1, 1.24, 1.25, 1.26, 1.5, 1.75, 1.76].map(of), [2, 2, 2, 3, 3, 3, 4]);
});

Deno.test("attacksOf() tells parts apart at the first ticks, puts them in order, and counts strokes from their own tempo", () => {
  const tick = 1 / TICKS_PER_QUARTER;
  const apart = smallScore([
    { instrument: "violin", role: "lead", notes: [{ at: 2 * tick, quarters: 1, pitch: 60 }] },
    { instrument: "viola", role: "pad", notes: [{ at: 0, quarters: 1, pitch: 48 }] },
  ]);
  assertEquals(attacksOf(apart, STRENGTHS).map((a) => [a.ticks, a.part, a.pitches]), [[0, 1, [48]], [2, 0, [
    60,
  ]]]);
  const slashed = smallScore([
    { instrument: "violin", role: "lead", notes: [{ at: 0.5, quarters: 0.5, pitch: 60 }] },
    { instrument: "viola", role: "pad", notes: [{ at: 0, quarters: 1, pitch: 48, tremoloSlashes: 1 }] },
  ]);
  assertEquals(attacksOf(slashed, STRENGTHS).map((a) => [a.ticks, a.part]), [[0, 1], [48, 0], [48, 1]]);
  // Two slashes at 60 are four strokes a second, wherever they stand.
  const late = attacksOf(line([{ at: 4, quarters: 1, pitch: 60, tremoloSlashes: 2 }]), STRENGTHS);
  assertEquals(late.map((a) => a.strength), [1, 1, 1, 1]);
});

Deno.test("areSameAttacks(): another place, part, strength or length that is heard is another attack, from the first note on", () => {
  const notes = (first: Partial<Note> = {}, last: Partial<Note> = {}) => {
    const [a, b] = line([{ at: 0, quarters: 1, pitch: 60 }, { at: 2, quarters: 1, pitch: 60 }]).notes;
    return [{ ...a!, ...first }, { ...b!, ...last }];
  };
  const same = (first: Partial<Note>, last: Partial<Note> = {}, all: Partial<Note> = {}) =>
    areSameAttacks(notes(all, all), notes({ ...all, ...first }, { ...all, ...last }), STRENGTHS);
  assertEquals([same({}), same({ soundingPitch: 72 }), same({ dynamic: 8 })], [true, true, true]);
  for (
    const change of [
      { onsetTicks: 1 },
      { part: 1 },
      { tremoloSlashes: 1 },
      { tremolo: "measured" },
      { slurred: true },
    ] as const
  ) assertEquals([same(change), same({}, change)], [false, false], JSON.stringify(change));
  // Only the last one's length is heard, or that of what is slashed, be it once.
  assertEquals([same({ durationTicks: 95 }), same({}, { durationTicks: 95 })], [true, false]);
  assertEquals(same({ durationTicks: 95 }, {}, { tremoloSlashes: 1 }), false);
  const all = notes();
  assertEquals([all, all.slice(1)].map((other) => areSameAttacks(all, other, STRENGTHS)), [true, false]);
});
