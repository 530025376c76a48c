import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import fc from "fast-check";
import { instrumentById, type Note } from "ripieno";
import { makeNote } from "ripieno/score";
import { shareSounding, soundingTicks } from "../../lib/measures/sounding.ts";

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
