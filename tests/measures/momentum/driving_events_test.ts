/** Attacks as a listener meets them, forces and travel, worked out by hand: a second to a quarter. */
import { assertAlmostEquals, assertEquals, assertStrictEquals } from "@std/assert";
import { balance, textureOf } from "ripieno";
import { applySettings } from "../../../lib/base/settings.ts";
import { audibilitiesOf, drivingBars } from "../../../lib/measures/momentum/driving_events.ts";
import { forcesOf } from "../../../lib/measures/momentum/forces_of.ts";
import { MOMENTUM_CONSTANTS } from "../../../lib/measures/momentum/momentum.ts";
import { pitchTravel } from "../../../lib/measures/momentum/pitch_travel.ts";
import { TREMOLO_RATES } from "../../../lib/score/tremolo.ts";
import { type Line, type LineNote, smallScore } from "../small_scores.ts";

const constants = applySettings("momentum", MOMENTUM_CONSTANTS);
const line = (layer: string, notes: readonly LineNote[], instrument = "oboe"): Line => ({
  instrument,
  role: "pulse",
  layer,
  notes,
});
const note = (at: number, pitch: number, more: Partial<LineNote> = {}) => ({
  at,
  quarters: 0.25,
  pitch,
  ...more,
});

function barsOf(
  lines: readonly Line[],
  audibility = (_part: number) => 1,
  mergeSeconds = constants.mergeSeconds,
) {
  const score = smallScore(lines, { quartersPerMinute: 60 });
  const texture = textureOf(score);
  const audibilities = Float64Array.from(texture.cells, (_, i) => audibility(i % lines.length));
  return drivingBars(score, { texture, audibilities, constants: { ...constants, mergeSeconds } });
}

Deno.test("a layer is heard by its sones over those and the half, not at all where it has none", () => {
  const score = smallScore([line("a", [note(0, 70)]), line("b", [note(0, 60)])], { bars: 1 });
  const heardOf = (sones: Readonly<Record<string, number>>) => {
    const measured = balance(score);
    const perLayer = measured.perLayer.filter((l) => l.layer in sones)
      .map((l) => ({ ...l, partialSones: sones[l.layer]! }));
    return [
      ...audibilitiesOf(score, textureOf(score), { heard: { ...measured, perLayer }, halfAudibleSones: 0.5 }),
    ];
  };
  assertEquals(heardOf({ a: 0.5, b: 1.5 }), [0.5, 0.75]);
  assertEquals([heardOf({ a: 0, b: 1.5 }), heardOf({ b: 1.5 })], [[0, 0.75], [0, 0.75]]);
  // Each bar has its own.
  const two = smallScore([line("a", [note(0, 70), note(4, 70)]), line("b", [note(4, 60)])]);
  const measured = balance(two);
  const sones = (barIndex: number) => [1.5, 0.5][barIndex]!;
  const perLayer = measured.perLayer.map((l) => ({ ...l, partialSones: sones(l.barIndex) }));
  const heard = { ...measured, perLayer };
  assertEquals([...audibilitiesOf(two, textureOf(two), { heard, halfAudibleSones: 0.5 })], [
    0.75,
    0,
    0.5,
    0.5,
  ]);
});

Deno.test("attacks closer than 30 ms are one event and one onset, at 30 ms they are two", () => {
  // Three hundredths of 96 ticks are 2.88: two ticks are nearer, three are further.
  const of = (ticks: number) =>
    barsOf([line("a", [note(0, 70), note(1, 70)]), line("b", [note(1 + ticks / 96, 60)])])[0]!;
  assertEquals(of(2).events.map((e) => [e.ticks, e.strokes.map((s) => s.part)]), [[0, [0]], [96, [0, 1]]]);
  assertEquals(of(3).events.map((e) => [e.ticks, e.strokes.map((s) => s.part)]), [[0, [0]], [96, [0]], [99, [
    1,
  ]]]);
  assertEquals([of(0).onsets, of(2).onsets, of(3).onsets], [2, 2, 3]);
  // Three ticks are a thirty-second part of a second.
  const lines = [line("a", [note(0, 70), note(1, 70)]), line("b", [note(1 + 3 / 96, 60)])];
  const [just] = barsOf(lines, () => 1, 3 / 96);
  assertEquals([just!.events.length, just!.onsets], [3, 3]);
  const [more] = barsOf(lines, () => 1, 3.01 / 96);
  assertEquals([more!.events.length, more!.onsets], [2, 2]);
  // Where nothing is merged, what begins together is one event all the same.
  const [bar] = barsOf([line("a", [note(0, 70)]), line("b", [note(0, 60), note(1 / 96, 60)])], () => 1, 0);
  assertEquals(bar!.events.map((e) => e.strokes.length), [2, 1]);
});

Deno.test("layers stand in the order of their first attack, with their onsets; who is not heard strikes in no event", () => {
  const lines = [
    line("late", [note(1, 70), note(2, 70)]),
    line("both", [note(0, 60)]),
    line("both", [note(0, 64), note(5, 60)]),
  ];
  const [first, second] = barsOf(lines);
  assertEquals(first!.layers.map((l) => [l.id, l.role, l.cell, l.onsets]), [["both", "pulse", 1, 1], [
    "late",
    "pulse",
    0,
    2,
  ]]);
  assertEquals(second!.layers.map((l) => [l.id, l.cell, l.onsets]), [["both", 5, 1]]);
  const [heard] = barsOf(lines, (part) => part === 0 ? 0 : 1);
  assertEquals([heard!.events.length, heard!.onsets, heard!.layers.length], [1, 3, 2]);
});

Deno.test("a layer begins as many notes as there are pitches, one that two parts play counts once, in its fullest attack", () => {
  const strokes = (...lines: readonly Line[]) =>
    barsOf(lines)[0]!.events.map((e) => e.strokes.map((s) => [s.part, s.notes, s.layerNotes]));
  assertEquals(
    strokes(line("a", [note(0, 60), note(0, 64)]), line("a", [note(0, 64), note(0, 67), note(0, 72)])),
    [
      [[0, 2, 4], [1, 3, 4]],
    ],
  );
  assertEquals(strokes(line("a", [note(0, 60)]), line("b", [note(0, 60)])), [[[0, 1, 1], [1, 1, 1]]]);
  // A part that doubles a pitch itself begins it twice.
  assertEquals(strokes(line("a", [note(0, 60), note(0, 60)]), line("a", [note(0, 60)])), [[[0, 2, 2], [
    1,
    1,
    2,
  ]]]);
  // Two attacks of one part 10 ms apart: the chord counts.
  assertEquals(strokes(line("a", [note(0, 60), note(1 / 96, 60), note(1 / 96, 67)])), [[[0, 0, 2], [
    0,
    2,
    2,
  ]]]);
  assertEquals(strokes(line("a", [note(0, 60), note(0, 67), note(1 / 96, 60)])), [[[0, 2, 2], [0, 0, 2]]]);
  assertEquals(
    strokes(line("a", [note(0, 60), note(1 / 96, 67)])),
    [[[0, 1, 1], [0, 0, 1]]],
    "of two alike the first",
  );
});

Deno.test("strokes of a shimmer begin no note and are felt as one", () => {
  const tremolo = { tremoloSlashes: 3, tremolo: "unmeasured", quarters: 1 } as const;
  const [bar] = barsOf([line("a", [note(0, 60, tremolo)], "violin")]);
  assertEquals(
    bar!.events.slice(0, 3).map((e) => e.strokes.map((s) => [s.notes, s.layerNotes, s.strength])),
    [
      [[1, 1, 1]],
      [[1, 1, 0.05]],
      [[1, 1, 0.05]],
    ],
  );
});

Deno.test("accents are Parncutt's (1994, eq. 3) over that of 0.6 s, full beyond; events of the same strokes share a list", () => {
  const [bar] = barsOf([
    line("a", [note(0, 60), note(0.25, 62), note(0.5, 64), note(1.5, 65), note(3, 65, { quarters: 0.75 })]),
  ]);
  const accents = bar!.events.map((e) => e.strokes[0]!.accent);
  // (1 - e^-0.5)^2 / (1 - e^-1.2)^2.
  const expected = [0.317036, 0.317036, 1, 1, 1];
  accents.forEach((accent, i) => assertAlmostEquals(accent, expected[i]!, 1e-5));
  assertStrictEquals(bar!.events[0]!.strokes, bar!.events[1]!.strokes);
  assertEquals(new Set(bar!.events.map((e) => e.strokes)).size, 2);
});

Deno.test("forces are the mean dynamic of what begins in a bar, or else sounds on, over twice the half, at most 1", () => {
  const dynamics = (at: number, quarters: number, dynamic: number): LineNote => ({
    at,
    quarters,
    pitch: 70,
    dynamic,
  });
  const score = smallScore([
    line("a", [dynamics(0, 1, 4), dynamics(1, 4, 6), dynamics(5, 7, 2)]),
    line("b", [dynamics(4, 4, 8)]),
  ], { bars: 4 });
  // Bar 1: (4 + 6) / 2; bar 2: only what begins, 2; bar 3: what is held; bar 4: silence.
  assertEquals([...forcesOf(score, 5)], [0.5, 0, 0.2, 0.8, 0.2, 0, 0, 0]);
  assertEquals([...forcesOf(score, 3)].slice(2, 4), [2 / 6, 1]);
});

Deno.test("pitch travels from note to note, by the top of a chord, mean over the pitched parts that begin notes", () => {
  const score = smallScore([
    line("a", [note(0, 72), note(1, 76), note(4, 79), note(6, 74)]),
    line("b", [note(0, 60), note(0, 64), note(2, 62), note(2, 69)]),
    line("c", [note(5, 48), note(7, 41)]),
    line("drum", [note(0, 40, { unpitched: true }), note(1, 50, { unpitched: true })], "snare drum"),
  ], { bars: 4 });
  // Bar 1: 4 and 5; bar 2: 3 + 5 and 7; nothing after.
  assertEquals(pitchTravel(score), [4.5, 7.5, 0, 0]);
});

Deno.test("momentum's constants are those of its sources and of its description, in ranges that make sense", () => {
  assertEquals({ ...applySettings("momentum", MOMENTUM_CONSTANTS) }, {
    slurredStrength: 0.4,
    broadStrength: 0.8,
    tremoloStrength: 0.05,
    ...TREMOLO_RATES,
    halfAudibleSones: 0.25,
    halfForceDynamic: 5,
    mergeSeconds: 0.03,
    // London 2012: 100 ms, 1.5 s; Parncutt 1994, equations 3 and 6: 0.5 s, 2, 0.6 s, 0.2.
    fusionSeconds: 0.1,
    slowestPulseSeconds: 1.5,
    accentSaturationSeconds: 0.5,
    accentExponent: 2,
    pulseCentreSeconds: 0.6,
    pulseSpreadLog10: 0.2,
    // momentum = 0.6 attacks + 0.2 steady + 0.1 pulse + 0.1 syncopated
    rateWeight: 0.6,
    regularityWeight: 0.2,
    pulseWeight: 0.1,
    syncopationWeight: 0.1,
    fullSyncopation: 2,
  });
  const takes = (name: string, value: number) => {
    try {
      return applySettings("momentum", MOMENTUM_CONSTANTS, { [name]: value }) !== undefined;
    } catch {
      return false;
    }
  };
  for (
    const [name, most] of [["slurredStrength", 1], ["broadStrength", 1], ["tremoloStrength", 1], [
      "accentExponent",
      10,
    ]] as const
  ) {
    assertEquals([takes(name, 0), takes(name, most), takes(name, 1.05 * most)], [true, true, false], name);
  }
  for (
    const name of [
      "halfAudibleSones",
      "halfForceDynamic",
      "fusionSeconds",
      "pulseCentreSeconds",
      "pulseSpreadLog10",
      "accentSaturationSeconds",
      "fullSyncopation",
    ]
  ) assertEquals([takes(name, 0), takes(name, 0.01)], [false, true], name);
});
