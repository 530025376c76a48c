/** Where a blown part breathes. */
import { assert, assertEquals, assertLessOrEqual } from "@std/assert";
import { random } from "../../setup/random.ts";
import { type BreathNote, leaveBreaths } from "../../../lib/orchestrate/realise/leave_breaths.ts";

const QUARTER = 24;
const BAR = 4 * QUARTER;

/** Notes that follow each other, at 60 quarters per minute: one quarter, one second. */
function line(
  quarters: readonly number[],
  breathSeconds: number,
  kind: BreathNote["kind"],
  turns: readonly number[] = Array.from({ length: 32 }, (_, i) => i + 1),
): readonly BreathNote[] {
  let at = 0;
  return quarters.map((q) => {
    const note: BreathNote = {
      part: 0,
      onsetTicks: at,
      durationTicks: q * QUARTER,
      soundingPitch: 60,
      breathSeconds,
      kind,
      turns: new Set(turns.map((bar) => bar * BAR)),
    };
    at += q * QUARTER;
    return note;
  });
}

function breathe(notes: readonly BreathNote[]): readonly BreathNote[] {
  const end = notes.at(-1)!.onsetTicks + notes.at(-1)!.durationTicks;
  const bars = Math.ceil(end / BAR);
  return leaveBreaths(notes, {
    gapSeconds: 0.2,
    clock: (ticks) => ticks / QUARTER,
    barEnds: new Map(Array.from({ length: bars }, (_, i) => [(i + 1) * BAR, i + 1])),
    beats: Array.from({ length: 4 * bars }, (_, i) => i * QUARTER),
    ticksPerQuarter: QUARTER,
  });
}

/** Whether a player breathes between two notes: there is a silence, or a comma. */
function isBreath(before: BreathNote, after: BreathNote): boolean {
  return before.onsetTicks + before.durationTicks < after.onsetTicks ||
    before.articulations?.includes("breath") === true;
}

/** Where a line goes on after a breath, in bars. */
function breathsOf(notes: readonly BreathNote[]): readonly number[] {
  return notes.flatMap((n, i) => {
    const before = notes[i - 1];
    return before && isBreath(before, n) ? [n.onsetTicks / BAR] : [];
  });
}

/** Longest time without a breath, in seconds. */
function longest(notes: readonly BreathNote[]): number {
  let since = 0;
  let most = 0;
  notes.forEach((n, i) => {
    const end = n.onsetTicks + n.durationTicks;
    most = Math.max(most, (end - since) / QUARTER);
    const next = notes[i + 1];
    if (next && isBreath(n, next)) since = next.onsetTicks;
  });
  return most;
}

Deno.test("what fits into one breath is left alone", () => {
  const notes = line([4, 4], 20, "accompaniment");
  assertEquals(breathe(notes), notes);
  const rests = line([4, 4, 4, 4], 8, "accompaniment").filter((_, i) => i % 2 === 0);
  assertEquals(breathe(rests), rests);
});

Deno.test("held notes end an eighth early at a bar line, repeated ones lose their last eighth, in time", () => {
  for (const held of [[4, 4, 4, 4, 4, 4], [24]]) {
    const breathed = breathe(line(held, 14, "accompaniment"));
    assertLessOrEqual(longest(breathed), 14);
    assert(breathsOf(breathed).every(Number.isInteger), `${breathsOf(breathed)}`);
    assertEquals(
      breathed.reduce((sum, n) => sum + n.durationTicks, 0),
      6 * BAR - breathsOf(breathed).length * QUARTER / 2,
    );
  }
  const repeated = breathe(line(Array.from({ length: 96 }, () => 1 / 4), 14, "accompaniment"));
  assertLessOrEqual(longest(repeated), 14);
  const onsets = new Set(repeated.map((n) => n.onsetTicks));
  const lost = Array.from({ length: 96 }, (_, i) => i * QUARTER / 4).filter((t) => !onsets.has(t));
  assert(lost.length > 0 && lost.every((t) => t % BAR >= BAR - QUARTER / 2), `${lost}`);
});

Deno.test("a melody keeps every note as long as it was and marks its breaths", () => {
  const notes = line(Array.from({ length: 24 }, () => 1), 14, "melody");
  const breathed = breathe(notes);
  assertEquals<unknown>(breathed.map(({ articulations: _commas, ...n }) => n), notes);
  assert(breathed.some((n) => n.articulations?.includes("breath")));
  assertLessOrEqual(longest(breathed), 14);
});

// Common practice, no source.
Deno.test("a melody breathes after the long notes that end its phrases, not before their landing", () => {
  // Two bars to a phrase, each with a long note at its end; quick notes lead into the third bar and the fifth.
  const phrase = [1, 1, 1, 1 / 2, 1 / 2, 2, 1, 1 / 2, 1 / 2];
  const breathed = breathe(line([...phrase, ...phrase, ...phrase, 4], 9, "melody"));
  const places = breathsOf(breathed).map((bar) => bar % 2);
  assert(places.length >= 3, `${places}`);
  assert(places.every((place) => place === 1.5 || place === 1.75), `${breathsOf(breathed)}`);
});

Deno.test("a run stays on the note it has reached and goes on from the next beat", () => {
  const notes = line(Array.from({ length: 96 }, () => 1 / 4), 14, "run");
  const breathed = breathe(notes);
  assertLessOrEqual(longest(breathed), 14);
  const onsets = new Set(breathed.map((n) => n.onsetTicks));
  const lost = notes.map((n) => n.onsetTicks).filter((t) => !onsets.has(t));
  assert(lost.length > 0 && lost.every((t) => t % QUARTER > 0), "what stands on a beat is kept");
});

Deno.test("players of one layer breathe in turn", () => {
  const lines = [0, 1, 2].map((player) => {
    const turns = Array.from({ length: 12 }, (_, i) => 3 * i + player + 1);
    return breathsOf(breathe(line([32], 26, "accompaniment", turns)));
  });
  assert(lines.every((places) => places.length > 0));
  assertEquals(new Set(lines.flat()).size, lines.flat().length, JSON.stringify(lines));
});

// Common practice, no source.
Deno.test("who goes over to the melody breathes before it, not in its first bar", () => {
  const notes = line([4, 4, 1, 1, 1, 1, 4, 4], 14, "accompaniment")
    .map((n, i): BreathNote => i >= 2 ? { ...n, kind: "melody" } : n);
  const breathed = breathe(notes);
  assertEquals(breathed[1]!.durationTicks, BAR - QUARTER / 2);
  assertEquals(breathed.slice(2, 6), notes.slice(2, 6));
});

Deno.test("whatever the line, no stretch outlasts a breath where it can be parted, and only time before breaths is lost", () => {
  const next = random(7);
  for (let round = 0; round < 200; round++) {
    const quarters = Array.from(
      { length: 20 + Math.floor(20 * next()) },
      () => [1 / 2, 1, 1, 2, 4][Math.floor(5 * next())]!,
    );
    const kind = (["melody", "run", "accompaniment"] as const)[round % 3]!;
    const notes = line(quarters, 8 + 10 * next(), kind);
    const breathed = breathe(notes);
    assertLessOrEqual(longest(breathed), notes[0]!.breathSeconds + 1e-9, `round ${round}`);
    const starts = new Set(notes.map((n) => n.onsetTicks));
    if (kind === "melody") assertEquals(breathed.length, notes.length);
    for (const n of breathed) assert(starts.has(n.onsetTicks) || n.onsetTicks % QUARTER === 0);
  }
});
