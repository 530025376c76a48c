/** Where a blown part breathes. */
import { assert, assertEquals, assertLessOrEqual } from "@std/assert";
import { type BreathNote, leaveBreaths } from "../../../lib/orchestrate/realise/leave_breaths.ts";

const QUARTER = 24;
const BAR = 4 * QUARTER;

/** Notes that follow each other, at 60 quarters per minute: one quarter, one second. */
function line(quarters: readonly number[], breathSeconds: number, melody: boolean): readonly BreathNote[] {
  let at = 0;
  return quarters.map((q) => {
    const note: BreathNote = {
      part: 0,
      onsetTicks: at,
      durationTicks: q * QUARTER,
      soundingPitch: 60,
      breathSeconds,
      melody,
    };
    at += q * QUARTER;
    return note;
  });
}

function breathe(notes: readonly BreathNote[], stagger = 0): readonly BreathNote[] {
  const end = notes.at(-1)!.onsetTicks + notes.at(-1)!.durationTicks;
  return leaveBreaths(notes, {
    stagger,
    gapSeconds: 0.2,
    clock: (ticks) => ticks / QUARTER,
    barEnds: Array.from({ length: Math.ceil(end / BAR) }, (_, i) => (i + 1) * BAR),
    ticksPerQuarter: QUARTER,
  });
}

/** Longest time without a gap, in seconds. */
function longest(notes: readonly BreathNote[]): number {
  let since = 0;
  let most = 0;
  notes.forEach((n, i) => {
    const end = n.onsetTicks + n.durationTicks;
    most = Math.max(most, (end - since) / QUARTER);
    const next = notes[i + 1];
    if (next && next.onsetTicks > end) since = next.onsetTicks;
  });
  return most;
}

Deno.test("what fits into one breath is left alone", () => {
  const notes = line([4, 4], 20, false);
  assertEquals(breathe(notes), notes);
  const rests = line([4, 4, 4, 4], 8, false).filter((_, i) => i % 2 === 0);
  assertEquals(breathe(rests), rests);
});

Deno.test("held notes end an eighth early at a bar line, repeated ones lose their last eighth, in time", () => {
  const held = breathe(line([4, 4, 4, 4, 4, 4], 14, false));
  assertEquals(held.length, 6);
  assertLessOrEqual(longest(held), 14);
  assert(held.every((n) => n.durationTicks === BAR || n.durationTicks === BAR - QUARTER / 2));
  const repeated = breathe(line(Array.from({ length: 96 }, () => 1 / 4), 14, false));
  assertLessOrEqual(longest(repeated), 14);
  const onsets = new Set(repeated.map((n) => n.onsetTicks));
  const lost = Array.from({ length: 96 }, (_, i) => i * QUARTER / 4).filter((t) => !onsets.has(t));
  assert(lost.length > 0 && lost.every((t) => t % BAR >= BAR - QUARTER / 2), `${lost}`);
});

Deno.test("a melody keeps every note and marks its breaths", () => {
  const notes = line(Array.from({ length: 24 }, () => 1), 14, true);
  const breathed = breathe(notes);
  assertEquals(breathed.map((n) => n.onsetTicks), notes.map((n) => n.onsetTicks));
  const marked = breathed.filter((n) => n.articulations?.includes("breath"));
  assert(marked.length > 0 && marked.every((n) => n.durationTicks === QUARTER / 2));
  assertEquals(breathed.filter((n) => n.durationTicks < QUARTER).length, marked.length);
  assertLessOrEqual(longest(breathed), 14);
});

Deno.test("players of one layer breathe at different bar lines", () => {
  const notes = line([4, 4, 4, 4, 4, 4, 4, 4], 26, false);
  const places = [0, 1 / 3, 2 / 3, 1].map((stagger) =>
    breathe(notes, stagger).flatMap((n) => n.durationTicks < BAR ? [n.onsetTicks / BAR] : []).join()
  );
  assert(new Set(places).size >= 2, `${places}`);
});

// Common practice, no source.
Deno.test("who goes over to the melody breathes before it, not in its first bar", () => {
  const notes = line([4, 4, 1, 1, 1, 1, 4, 4], 14, false).map((n, i) => ({ ...n, melody: i >= 2 }));
  const breathed = breathe(notes);
  assertEquals(breathed[1]!.durationTicks, BAR - QUARTER / 2);
  assertEquals(breathed.slice(2, 6), notes.slice(2, 6));
});
