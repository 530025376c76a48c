import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import fc from "fast-check";
import { instrumentById, type Note, type Score } from "ripieno";
import { makeNote } from "ripieno/score";
import { notesIn, shareSounding, soundingTicks } from "../../lib/measures/sounding.ts";

const note = (more: Partial<Note> = {}) =>
  makeNote({ part: 0, onsetTicks: 100, durationTicks: 400, soundingPitch: 60, ...more });
const [flute, violin, harp, timpani] = ["flute", "violin", "harp", "timpani"].map((id) => instrumentById(id));

Deno.test("soundingTicks() shortens what is marked short, by the shortest sign (model assumption, after common practice)", () => {
  const ticks = (...articulations: Note["articulations"]) => soundingTicks(note({ articulations }));
  assertEquals(ticks(), 400);
  assertEquals(ticks("tenuto"), 400);
  assertEquals(ticks("portato"), 300);
  assertEquals([ticks("staccato"), ticks("spiccato")], [200, 200]);
  assertEquals([ticks("staccatissimo"), ticks("staccatissimo", "portato")], [100, 100]);
});

Deno.test("shareSounding() of a sustained note is the share of the span it covers", () => {
  const share = (from: number, to: number, more: Partial<Note> = {}) =>
    shareSounding(note(more), flute!, from, to, 0.001);
  assertEquals([share(100, 500), share(0, 1000), share(300, 400), share(600, 700), share(0, 100)], [
    1,
    0.4,
    1,
    0,
    0,
  ]);
  assertEquals(share(100, 500, { articulations: ["staccato"] }), 0.5);
});

Deno.test("shareSounding() of what is plucked or struck dies away: the mean of exp(-t / tau), tau from data/decay.csv", () => {
  const ringing = note({ onsetTicks: 0, durationTicks: 1000 });
  const plucked = { ...ringing, technique: "pizzicato" as const };
  for (
    const [n, instrument, tau] of [
      [ringing, harp!, 0.35],
      [ringing, timpani!, 0.15],
      [plucked, violin!, 0.05],
    ] as const
  ) {
    const mean = (from: number, to: number) =>
      tau * (Math.exp(-from / tau) - Math.exp(-to / tau)) / (to - from);
    assertAlmostEquals(shareSounding(n, instrument, 0, 1000, 0.001), mean(0, 1), 1e-12);
    assertAlmostEquals(shareSounding(n, instrument, 500, 1000, 0.001), mean(0.5, 1), 1e-12);
  }
  assertEquals(shareSounding(ringing, violin!, 0, 1000, 0.001), 1);
  for (const roll of [{ trill: true }, { tremoloSlashes: 3 }]) {
    assertEquals(shareSounding({ ...ringing, ...roll }, timpani!, 0, 1000, 0.001), 1);
  }
});

Deno.test("shareSounding() of two spans is the mean of both, and lies within 0 and 1", () => {
  const cut = fc.tuple(
    fc.integer({ min: 0, max: 700 }),
    fc.integer({ min: 1, max: 300 }),
    fc.integer({ min: 1, max: 300 }),
  );
  fc.assert(
    fc.property(cut, fc.constantFrom(flute!, harp!, timpani!), ([from, first, second], instrument) => {
      const share = (a: number, b: number) => shareSounding(note(), instrument, a, b, 0.002);
      const [one, two] = [share(from, from + first), share(from + first, from + first + second)];
      const both = share(from, from + first + second);
      assertAlmostEquals(both * (first + second), one * first + two * second, 1e-9);
      assert([one, two, both].every((s) => s >= 0 && s <= 1));
    }),
    { seed: 5, numRuns: 200 },
  );
});

Deno.test("shareSounding() of what has died away by 120 dB is none, and what begins within a span counts from there", () => {
  // A harp's power falls to 1/e in 0.35 s, to 120 dB less in 12 ln 10 times that: 9.67 s.
  const long = note({ onsetTicks: 0, durationTicks: 20_000 });
  const share = (from: number, to: number) => shareSounding(long, harp!, from, to, 0.001);
  assert(share(9_600, 9_660) > 0);
  assertEquals(share(9_680, 9_700), 0);
  const mean = 0.35 * (1 - Math.exp(-1 / 0.35)) / 2;
  assertAlmostEquals(
    shareSounding(note({ onsetTicks: 1000, durationTicks: 1000 }), harp!, 0, 2000, 0.001),
    mean,
    1e-12,
  );
});

Deno.test("notesIn() are those that sound in some bars, from the bar line on and up to it", () => {
  const bars = [0, 1, 2].map((b) => ({
    startTicks: 100 * b,
    durationTicks: 100,
  })) as unknown as Score["bars"];
  const notes = [[0, 100], [0, 101], [100, 100], [199, 1], [200, 50], [50, 200]].map((
    [onsetTicks, durationTicks],
    i,
  ) => note({ onsetTicks: onsetTicks!, durationTicks: durationTicks!, soundingPitch: 60 + i }));
  const found = (fromBarIndex: number, toBarIndex: number, most = 99) =>
    notesIn({ bars, notes }, { fromBarIndex, toBarIndex }, (n) => n.soundingPitch <= most)
      .map((n) => n.soundingPitch - 60);
  assertEquals([found(1, 1), found(0, 0), found(1, 2), found(1, 1, 62)], [[1, 2, 3, 5], [0, 1, 5], [
    1,
    2,
    3,
    4,
    5,
  ], [
    1,
    2,
  ]]);
});
