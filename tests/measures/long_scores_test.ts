/** Empty bars and long bars: nothing fails, and what is worked out and written grows with notes and bars. */
import { assertEquals, assertLess } from "@std/assert";
import fc from "fast-check";
import {
  balance,
  freshness,
  playability,
  recognise,
  type Score,
  study,
  writeMidi,
  writeMusicXml,
} from "ripieno";
import { readMidi, readMusicXml } from "ripieno/formats";
import { barLevels, type MetreInput } from "../../lib/formats/musicxml/write/metre_levels.ts";
import { notesInBars } from "../../lib/measures/notes_in_bars.ts";
import { longBars, nearlyEmpty } from "./long_scores.ts";
import { notFinite, smallScore } from "./small_scores.ts";

Deno.test("MusicXML of bars up to 255/1 grows with the bars, not with their length, and is read back as written", () => {
  const sizeOf = (bars: number, beats: number, beatUnit: number) =>
    writeMusicXml(longBars(bars, { beats, beatUnit })).length;
  for (const [beats, beatUnit] of [[255, 4], [255, 2], [255, 1]] as const) {
    assertLess(sizeOf(40, beats, beatUnit), 1.5 * sizeOf(40, 4, 4));
    assertLess(sizeOf(80, beats, beatUnit), 2.1 * sizeOf(40, beats, beatUnit));
    const score = longBars(5, { beats, beatUnit });
    const notes = ({ notes, ticksPerQuarter }: Score) =>
      notes.map((n) => [n.onsetTicks / ticksPerQuarter, n.durationTicks / ticksPerQuarter, n.soundingPitch]);
    assertEquals(notes(readMusicXml(writeMusicXml(score))), notes(score));
    const played = readMidi(writeMidi(score));
    assertEquals(
      played.bars.slice(0, 5).map((b) => `${b.beats}/${b.beatUnit}`),
      Array(5).fill(`${beats}/${beatUnit}`),
    );
    assertEquals(notes(readMusicXml(writeMusicXml(played))), notes(score));
  }
});

/** The strongest places between two others, by a look at every place of the grid. */
function lookedUp(metre: MetreInput, from: number, to: number, grid: number) {
  const levels = barLevels(metre);
  let found: { level: number; first: number; last: number } | undefined;
  for (let at = from - from % grid + grid; at < to; at += grid) {
    const level = levels.levelAt(at);
    if (!found || level < found.level) found = { level, first: at, last: at };
    else if (level === found.level) found.last = at;
  }
  return found;
}

Deno.test("the strongest place inside a stretch is the one that a look at every place finds", () => {
  const cases = fc.record({
    beats: fc.integer({ min: 1, max: 17 }),
    beatUnit: fc.constantFrom(1, 2, 4, 8, 16, 32),
    ticksPerQuarter: fc.constantFrom(32, 96, 160, 480, 672),
    short: fc.nat({ max: 40 }),
    places: fc.tuple(fc.nat(), fc.nat()),
  });
  fc.assert(
    fc.property(cases, ({ beats, beatUnit, ticksPerQuarter, short, places }) => {
      const full = beats * 4 * ticksPerQuarter / beatUnit;
      const durationTicks = Math.max(1, full - short * ticksPerQuarter / 32);
      const metre = { beats, beatUnit, ticksPerQuarter, durationTicks, pickup: short > 0 };
      const [from, to] = places.map((p) => p % (durationTicks + 1)).sort((a, b) => a - b) as [number, number];
      const grid = ticksPerQuarter / 8;
      assertEquals(barLevels(metre).strongestBetween(from, to, grid), lookedUp(metre, from, to, grid));
    }),
    { seed: 3, numRuns: 2000 },
  );
});

Deno.test("a note through a bar of 1024/1 is read back as one note", () => {
  const note = { at: 1, quarters: 4000, pitch: 60 };
  const score = smallScore([{ instrument: "flute", role: "lead", notes: [note] }], {
    bars: 1,
    beats: 1024,
    beatUnit: 1,
    written: false,
  });
  const read = readMusicXml(writeMusicXml(score));
  assertEquals(read.notes.map((n) => n.durationTicks / read.ticksPerQuarter), [4000]);
});

Deno.test("a study of 17,675 nearly empty bars is finite throughout", () => {
  const score = nearlyEmpty(17675);
  const found = study(score);
  assertEquals(notFinite({ ...found, freshness: { ...found.freshness, similarity: [] } }), []);
  assertEquals([found.freshness.similarity.length, found.freshness.perBar.length], [0, 17675]);
});

Deno.test("beyond 2000 bars freshness says of each bar what it says of it in a shorter score", () => {
  const long = smallScore(
    ["flute", "horn in F", "cello"].map((instrument, p) => ({
      instrument,
      role: "lead",
      notes: Array.from({ length: 700 }, (_, i) => ({
        at: 12 * i + 4 * (i % 7 === p ? 1 : 0),
        quarters: 1 + (i + p) % 3,
        pitch: 72 - 12 * p + i % 5,
        dynamic: 3 + i % 4,
      })),
    })),
    { bars: 2100, written: false },
  );
  const shown = 1950;
  const texture = recognise(long);
  const short: Score = {
    ...long,
    bars: long.bars.slice(0, 2000),
    notes: long.notes.filter((n) => n.onsetTicks < long.bars[2000]!.startTicks),
  };
  const cells = texture.cells.filter((c) => c.barIndex < 2000);
  const layers = texture.layers.filter((l) => l.fromBarIndex < 2000);
  const [all, some] = [
    freshness(long, { texture }),
    freshness(short, { texture: { ...texture, cells, layers } }),
  ];
  assertEquals(all.perBar.slice(0, shown), some.perBar.slice(0, shown));
  assertEquals(some.similarity.length, 2000 ** 2);
  assertLess(50, some.changes.length);
});

Deno.test("a note held through every bar is counted in each, and costs no look at the bars between", () => {
  const bars = 17675;
  const score = smallScore([
    { instrument: "flute", role: "lead", notes: [{ at: 0, quarters: 4 * bars, pitch: 72 }] },
    { instrument: "cello", role: "pad", notes: [{ at: 0, quarters: 4 * bars, pitch: 48 }] },
  ], { bars });
  assertEquals(notesInBars(score).every((notes) => notes.length === 2), true);
  const { perBar } = balance(score);
  assertEquals(new Set(perBar.map((b) => b.loudnessSones.toFixed(9))).size, 1);
});

Deno.test("150,000 notes of one part, in one chord or one after another, fit into every measure", () => {
  const count = 150_000;
  const notes = (at: (i: number) => number) =>
    Array.from({ length: count }, (_, i) => ({ at: at(i), quarters: 0.25, pitch: 60 + i % 12 }));
  const flute = { instrument: "flute", role: "lead" } as const;
  assertEquals(notFinite(study(smallScore([{ ...flute, notes: notes(() => 0) }], { bars: 1 }))), []);
  const after = playability(smallScore([{ ...flute, notes: notes((i) => i / 4) }], { bars: count / 16 }));
  assertEquals(after.whole.notes, count);
});
