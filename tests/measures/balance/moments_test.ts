/** What sounds together in a stretch, worked out by hand: 96 ticks to a quarter. */
import { assertAlmostEquals, assertEquals } from "@std/assert";
import { instrumentById, type Score, textureOf } from "ripieno";
import type { WrittenDynamic } from "ripieno/score";
import { listeningTo } from "../../../lib/measures/balance/listening.ts";
import type { MomentLayer } from "../../../lib/measures/balance/moment.ts";
import { meanPower, powerOverTime } from "../../../lib/measures/sounding.ts";
import { type Line, type LineNote, smallScore } from "../small_scores.ts";

const Q = 96;
const line = (instrument: string, role: Line["role"], notes: readonly LineNote[]): Line => ({
  instrument,
  role,
  layer: role,
  notes,
});
const note = (at: number, quarters: number, pitch: number, dynamic = 5): LineNote => ({
  at,
  quarters,
  pitch,
  dynamic,
});

/** What sounds from one quarter to another: for each layer its share, its parts, and the shares of its sounds. */
function moment(score: Score, bar: number, from: number, to: number) {
  const { moments, sounds } = listeningTo(score);
  const span = { from: from * Q, to: to * Q };
  const all = moments.momentOf(bar, span);
  const [sounding, played] = [moments.soundingIn(bar, span), moments.playedIn(bar, span)];
  // Each side alone says the same.
  assertEquals(
    all.map(({ id, soundingShare, content, fused }) => [id, soundingShare, content.id, fused.id]),
    sounding.map(({ id, soundingShare, content, fused }) => [id, soundingShare, content.id, fused.id]),
  );
  assertEquals(
    all.map((l) => [l.id, l.role, l.soundingShare, l.watts, l.parts]),
    played.map((l) => [l.id, l.role, l.soundingShare, l.watts, l.parts]),
  );
  for (const { watts, content, fused } of all) {
    const powerOf = ({ sounds, shares }: MomentLayer["content"]) =>
      sounds.reduce((sum, sound, i) => sum + sound.powerWatts * shares[i]!, 0);
    const power = powerOf(content) + powerOf(fused);
    assertAlmostEquals(watts, power, 1e-12 * power);
  }
  const shares = (of: MomentLayer["content"]) => of.shares;
  return {
    layers: all.map((l) => [l.id, l.soundingShare, shares(l.content), shares(l.fused)]),
    parts: all.map((l) => l.parts.map((p) => [p.part, p.share, p.dynamic, p.covers])),
    sounds,
  };
}

Deno.test("a layer sounds as long as its notes do; its dynamic is that of the last", () => {
  const score = smallScore([
    line("oboe", "lead", [note(0, 2, 72, 4), note(3, 1, 74, 6)]),
    line("viola", "pad", [note(1, 3, 60), note(0, 1, 60)]),
  ]);
  const { layers, parts } = moment(score, 0, 0, 4);
  assertEquals(layers, [["lead", 0.75, [0.5, 0.25], []], ["pad", 1, [1], []]]);
  assertEquals(parts, [[[0, 0.75, 6, true]], [[1, 1, 5, true]]]);
  assertEquals(moment(score, 0, 2, 3).layers, [["pad", 1, [1], []]]);
  assertEquals(moment(score, 0, 1, 3).layers, [["lead", 0.5, [0.5], []], ["pad", 1, [1], []]]);
  assertEquals(moment(score, 1, 4, 8).layers, []);
});

Deno.test("a stretch over bar lines has what is held into it once, and what begins in each bar", () => {
  const score = smallScore([
    line("oboe", "lead", [note(0, 3, 72), note(4.5, 0.5, 74), note(5, 1, 76), note(12.5, 1, 77)]),
    line("viola", "pad", [note(2, 12, 60)]),
  ], { bars: 4 });
  assertEquals(moment(score, 0, 3, 5).layers, [["pad", 1, [1], []], ["lead", 0.25, [0.25], []]]);
  // Nothing begins in the third bar.
  assertEquals(moment(score, 1, 5, 13).layers, [["pad", 1, [1], []], [
    "lead",
    1.5 / 8,
    [1 / 8, 0.5 / 8],
    [],
  ]]);
  assertEquals(moment(score, 2, 8, 12).layers, [["pad", 1, [1], []]]);
  assertEquals(moment(score, 2, 8, 12.5).layers, [["pad", 1, [1], []]]);
  assertEquals(moment(score, 0, 0, 3).layers, [["lead", 1, [1], []], ["pad", 1 / 3, [1 / 3], []]]);
});

Deno.test("notes on a pitch that the lead plays in the stretch merge with it; a part that has others covers all the same", () => {
  const score = smallScore([
    line("oboe", "lead", [note(0, 2, 72), note(2, 2, 74)]),
    line("viola", "pad", [note(0, 4, 72), note(0, 4, 65)]),
    line("horn in F", "pad", [note(0, 4, 72), note(0, 4, 74)]),
    line("snare drum", "pulse", [{ ...note(0, 1, 72), unpitched: true }]),
  ]);
  const first = moment(score, 0, 0, 2);
  assertEquals(first.layers.slice(0, 2), [["lead", 1, [1], []], ["pad", 1, [1, 1], [1, 1]]]);
  assertEquals(first.parts.slice(0, 2), [[[0, 1, 5, true]], [[1, 2, 5, true], [2, 2, 5, true]]]);
  assertEquals(first.layers[2]!.slice(3), [[]], "a drum has no pitch");
  const second = moment(score, 0, 2, 4);
  assertEquals(second.layers, [["pad", 1, [1, 1, 1], [1]], ["lead", 1, [1], []]]);
  const alone = smallScore([
    line("oboe", "lead", [note(0, 4, 72)]),
    line("viola", "pad", [note(0, 4, 72), note(4, 4, 72)]),
  ]);
  assertEquals(moment(alone, 0, 0, 4).parts, [[[0, 1, 5, true]], [[1, 1, 5, false]]]);
  assertEquals(moment(alone, 1, 4, 8).parts, [[[1, 1, 5, true]]]);
});

Deno.test("a note whose strength changes is taken as loud as it is in the middle of its stretch", () => {
  const score = smallScore([line("horn in F", "pad", [note(0, 8, 60, 3)])]);
  const sign = (at: number, kind: WrittenDynamic["kind"], mark?: string): WrittenDynamic => ({
    onsetTicks: at * Q,
    staff: 0,
    kind,
    ...mark === undefined ? {} : { mark },
  });
  const writtenDynamics = [sign(0, "mark", "p"), sign(0, "crescendo"), sign(8, "stop"), sign(8, "mark", "f")];
  const { moments, sounds } = listeningTo({ ...score, parts: [{ ...score.parts[0]!, writtenDynamics }] });
  // From p, 3, to f, 6, over eight quarters.
  for (const [from, to, dynamic] of [[0, 8, 4.5], [0, 4, 3.75], [4, 8, 5.25], [2, 4, 4.25]] as const) {
    const [layer] = moments.soundingIn(0, { from: from * Q, to: to * Q });
    const marked = sounds.of({ ...score.notes[0]!, dynamic });
    assertEquals(layer!.content.sounds.map((sound) => sound.id), [marked.id], `${from} to ${to}`);
  }
});

Deno.test("what is struck dies away: its share is that of its mean power", () => {
  const harp = note(0, 4, 60);
  const score = smallScore([line("harp", "pad", [harp])], { quartersPerMinute: 60 });
  const [{ decaySeconds }] = [powerOverTime(score.notes[0]!, instrumentById("harp"))];
  // Power falls to 1/e in the time that is given, a second to a quarter: the mean of e^(-t/d) from 1 to 2.
  const d = decaySeconds!;
  const expected = d * (Math.exp(-1 / d) - Math.exp(-2 / d));
  const [[, , [share]]] = moment(score, 0, 1, 2).layers as [[string, number, [number]]];
  assertAlmostEquals(share, expected, 1e-9);
  assertAlmostEquals(
    meanPower({ fromTicks: 0, toTicks: 4 * Q, decaySeconds: d }, Q, 2 * Q, 1 / Q),
    expected,
    1e-9,
  );
});

Deno.test("what sounds where its part rests belongs to the bar before or after, or else is held over", () => {
  const score = smallScore(
    [
      line("oboe", "lead", [note(0, 16, 72)]),
      line("viola", "pad", [note(4, 12, 60)]),
      line("cello", "bass", [note(0, 16, 40)]),
    ],
    { bars: 4 },
  );
  const read = textureOf(score);
  const plays = [[true, false, false, false], [false, true, false, false], [false, true, false, false]];
  const cells = read.cells.map((cell): typeof cell =>
    plays[cell.part]![cell.barIndex] ? cell : { ...cell, role: "rest", layer: "rest" }
  );
  const { moments } = listeningTo(score, { texture: { ...read, cells } });
  const of = (bar: number) =>
    moments.soundingIn(bar, { from: bar * 4 * Q, to: (bar + 1) * 4 * Q }).map((l) => [l.id, l.role])
      .toSorted();
  assertEquals([0, 1, 2, 3].map(of), [
    [["bass", "bass"], ["lead", "lead"]],
    [["bass", "bass"], ["lead", "lead"], ["pad", "pad"]],
    [["bass", "bass"], ["held over", "pad"], ["pad", "pad"]],
    [["held over", "pad"]],
  ]);
});

Deno.test("what doubles the lead in octaves merges with it in each of its bars, and what its pitches are is read over bar lines", () => {
  const octave = [0, 12].map((up) => [72, 74, 76, 74, 72, 74].map((pitch, i) => note(i, 1, pitch + up)));
  const doubled = smallScore([line("flute", "pad", octave[1]!), line("oboe", "lead", octave[0]!)]);
  for (const [bar, from] of [[0, 1], [1, 4]] as const) {
    assertEquals(moment(doubled, bar, from, from + 1).layers, [["pad", 1, [], [1]], ["lead", 1, [1], []]]);
  }
  // The lead comes to the pitch of the pad in the second bar, and holds it into the third.
  const later = smallScore([
    line("viola", "pad", [note(2, 10, 74)]),
    line("oboe", "lead", [note(0, 4, 72), note(4, 6, 74), note(10, 2, 76)]),
  ], { bars: 3 });
  const fused = (bar: number, from: number, to: number) =>
    moment(later, bar, from, to).layers.find(([id]) => id === "pad")!.slice(2);
  assertEquals([fused(0, 2, 4), fused(0, 2, 6), fused(2, 8, 9), fused(2, 10, 12)], [[[1], []], [[], [1]], [
    [],
    [1],
  ], [[1], []]]);
});

Deno.test("a note stands in each bar in which it sounds", () => {
  const score = smallScore([
    line("oboe", "lead", [note(0, 4, 60), note(3, 2, 61), note(4, 9, 62), note(8, 4, 63)]),
  ], { bars: 4 });
  const { byBar } = listeningTo(score);
  const pitches = byBar.map((notes) => notes.map((n) => n.soundingPitch));
  assertEquals(pitches, [[60, 61], [61, 62], [62, 63], [62]]);
});
