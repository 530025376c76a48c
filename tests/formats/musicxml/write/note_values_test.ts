import { NOTE_VALUES } from "../../../../lib/formats/assemble/musicxml_names.ts";
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import fc from "fast-check";
import type { MetreInput } from "../../../../lib/formats/musicxml/write/metre_levels.ts";
import {
  type NoteValue,
  noteValues,
  type VoiceStretch,
} from "../../../../lib/formats/musicxml/write/note_values.ts";

// How lengths are split at beats is common practice of engraving, no one source; the cases are worked out by hand.

const QUARTER = 480;
const metre = (beats: number, beatUnit: number, more: Partial<MetreInput> = {}): MetreInput => ({
  beats,
  beatUnit,
  durationTicks: beats * 4 * QUARTER / beatUnit,
  ticksPerQuarter: QUARTER,
  pickup: false,
  ...more,
});

/** Stretches from lengths in quarters; negative lengths are rests. */
function stretches(lengths: readonly number[]): VoiceStretch[] {
  let at = 0;
  return lengths.map((length) => {
    const from = at;
    at = Math.round((at / QUARTER + Math.abs(length)) * QUARTER);
    return { from, to: at, rest: length < 0 };
  });
}

const SHORT: Record<string, string> = {
  whole: "1",
  half: "2",
  quarter: "4",
  eighth: "8",
  "16th": "16",
  "32nd": "32",
};
/** `4.` for a dotted quarter, `8/3` for an eighth of a triplet, `r` before rests, `~` between tied values. */
function shown(values: readonly NoteValue[], from: readonly VoiceStretch[]): string {
  return values.map((v, i) => {
    const tied = values[i - 1]?.stretch === v.stretch && !from[v.stretch]!.rest;
    const tuplet = v.tuplet ? `/${v.tuplet.actual}` : "";
    return `${tied ? "~" : ""}${from[v.stretch]!.rest ? "r" : ""}${SHORT[v.type] ?? v.type}${
      ".".repeat(v.dots)
    }${tuplet}`;
  }).join(" ");
}
const split = (lengths: readonly number[], m: MetreInput) =>
  shown(noteValues(stretches(lengths), m), stretches(lengths));

Deno.test("note values: lengths are split where the metre would be hidden", () => {
  const cases: [number[], MetreInput, string][] = [
    [[4], metre(4, 4), "1"],
    [[1, 2, 1], metre(4, 4), "4 2 4"],
    [[0.5, 1, 0.5, 2], metre(4, 4), "8 4 8 2"],
    [[1.5, 1, 1.5], metre(4, 4), "4. 8 ~8 4."],
    [[0.5, 3.5], metre(4, 4), "8 4. ~2"],
    [[2.5, 1.5], metre(4, 4), "2 ~8 4."],
    [[3, 1], metre(4, 4), "2. 4"],
    [[0.25, 0.5, 0.25, 3], metre(4, 4), "16 8 16 2."],
    [[0.75, 0.25, -3], metre(4, 4), "8. 16 r4 r2"],
    [[-1, 2, -1], metre(4, 4), "r4 2 r4"],
    [[1, -2, 1], metre(4, 4), "4 r4 r4 4"],
    [[3], metre(3, 4), "2."],
    [[1, 2], metre(3, 4), "4 2"],
    [[-2, 1], metre(3, 4), "r4 r4 4"],
    [[2.5, 0.5], metre(3, 4), "2 ~8 8"],
    [[5], metre(5, 4), "2. ~2"],
    [[3], metre(6, 8), "2."],
    [[1, 0.5, 1.5], metre(6, 8), "4 8 4."],
    [[1, 1, 1], metre(6, 8), "4 8 ~8 4"],
    [[2, 1], metre(6, 8), "4. ~8 4"],
    [[-1.5, 1.5], metre(6, 8), "r4. 4."],
    [[4.5], metre(9, 8), "2. ~4."],
    [[3.5], metre(7, 8), "2 ~4."],
    [[1], metre(4, 4, { durationTicks: QUARTER, pickup: true }), "4"],
    [[1.5], metre(4, 4, { durationTicks: 1.5 * QUARTER, pickup: true }), "4."],
  ];
  for (const [lengths, m, expected] of cases) {
    assertEquals(split(lengths, m), expected, `${lengths} in ${m.beats}/${m.beatUnit}`);
  }
});

Deno.test("note values: tuplets", () => {
  const third = 1 / 3;
  const cases: [number[], MetreInput, string][] = [
    [[third, third, third, 3], metre(4, 4), "8/3 8/3 8/3 2."],
    [[2 * third, third, -3], metre(4, 4), "4/3 8/3 r4 r2"],
    [[2 * third, 2 * third, 2 * third, 2], metre(4, 4), "4/3 4/3 4/3 2"],
    [[4 * third, 4 * third, 4 * third], metre(4, 4), "2/3 2/3 2/3"],
    [[0.2, 0.2, 0.2, 0.2, 0.2, 3], metre(4, 4), "16/5 16/5 16/5 16/5 16/5 2."],
    [[0.4, 0.6, -3], metre(4, 4), "8/5 8./5 r4 r2"],
    [[0.75, 0.75, 1.5], metre(6, 8), "8. 8. 4."],
    [[third / 2, third / 2, third / 2, 0.5, 3], metre(4, 4), "16/3 16/3 16/3 8 2."],
    [[-third, third, third, -3], metre(4, 4), "r8/3 8/3 8/3 r4 r2"],
  ];
  for (const [lengths, m, expected] of cases) assertEquals(split(lengths, m), expected, String(lengths));
});

Deno.test("note values: a tuplet has one beginning and one end, and its ratio gives its length", () => {
  const from = stretches([1 / 3, 1 / 3, 1 / 3, 1, 0.2, 0.2, 0.2, 0.2, 0.2, 1]);
  const values = noteValues(from, metre(4, 4));
  assertEquals(values.filter((v) => v.tuplet?.starts).length, 2);
  assertEquals(values.filter((v) => v.tuplet?.stops).length, 2);
  assertEquals(values.find((v) => v.tuplet?.actual === 5)?.tuplet?.normal, 4);
});

Deno.test("note values: whatever the rhythm, the values fill every stretch exactly", () => {
  const divisions = fc.constantFrom(1, 2, 3, 4, 5, 6, 8, 12);
  const bar = fc.record({
    beats: fc.integer({ min: 1, max: 12 }),
    beatUnit: fc.constantFrom(2, 4, 8, 16),
    cuts: fc.array(fc.tuple(fc.double({ min: 0, max: 1, noNaN: true }), divisions), { maxLength: 12 }),
    rests: fc.array(fc.boolean(), { minLength: 14, maxLength: 14 }),
  });
  fc.assert(
    fc.property(bar, ({ beats, beatUnit, cuts, rests }) => {
      const m = { ...metre(beats, beatUnit), ticksPerQuarter: 480, durationTicks: beats * 1920 / beatUnit };
      const points = cuts.map(([share, d]) => Math.round(share * m.durationTicks / (480 / d)) * 480 / d)
        .filter((p) => p > 0 && p < m.durationTicks);
      const edges = [0, ...new Set(points), m.durationTicks].sort((a, b) => a - b);
      const list = edges.slice(1).map((to, i) => ({ from: edges[i]!, to, rest: rests[i % 14]! }));
      const values = noteValues(list, m);
      let at = 0;
      for (const value of values) {
        assertAlmostEquals(value.from, at, 1e-6);
        at = value.to;
        const stretch = list[value.stretch]!;
        assert(value.from >= stretch.from - 1e-6 && value.to <= stretch.to + 1e-6);
        if (value.type === "") continue;
        const wholes = NOTE_VALUES.find(([name]) => name === value.type)![1];
        const ratio = value.tuplet ? value.tuplet.normal / value.tuplet.actual : 1;
        const length = wholes * 4 * 480 * (2 - 0.5 ** value.dots) * ratio;
        assertAlmostEquals(value.to - value.from, length, 1e-6);
      }
      assertAlmostEquals(at, m.durationTicks, 1e-6);
    }),
    { seed: 4, numRuns: 500 },
  );
});
