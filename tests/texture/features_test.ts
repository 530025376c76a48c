/** Numbers recognition decides by, counted by hand on short examples. */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import {
  type CellFeatures,
  cellFeatures,
  isPitched,
  WINDOW_UNITS,
} from "../../lib/texture/features/features.ts";
import { FIGURES } from "../../lib/texture/figures.ts";
import { nameFigure } from "../../lib/texture/recognise/name_figure.ts";
import { example, QUARTER } from "./examples.ts";

/** Features of the first part's first bar. */
function first(music: string, signs = {}, metre = {}): CellFeatures {
  return cellFeatures(example([["violin", music, signs]], metre))[0]!;
}

Deno.test("a bar of mixed notes: strokes, shares of repeats, steps and leaps, compass, lengths, off-beats", () => {
  // C5 C5 D5 | G5 quarter rest: one repeat, one step, one leap; eighths and quarters; one note off the beat.
  const f = first("C5:1/2 C5:1/2 D5:1 G5:1 r:1");
  assertEquals([f.onsets, f.strokes, f.distinctPitches, f.compass, f.distinctLengths], [4, 4, 3, 7, 2]);
  for (
    const [value, expected] of [[f.repeats, 1 / 3], [f.steps, 1 / 3], [f.leaps, 1 / 3], [f.coverage, 3 / 4]]
  ) {
    assertAlmostEquals(value!, expected!, 1e-12);
  }
  assertAlmostEquals(f.offBeat, 1 / 4, 1e-12);
  assertAlmostEquals(f.meanQuarters, 3 / 4, 1e-12);
  assertAlmostEquals(f.meanPitch, (72 + 72 + 74 + 79) / 4, 1e-12);
});

Deno.test("strokes per second follow the tempo, lengths do not", () => {
  const slow = first("(C5:1/4)x16", {}, { quartersPerMinute: 60 });
  const fast = first("(C5:1/4)x16", {}, { quartersPerMinute: 150 });
  assertAlmostEquals(slow.strokesPerSecond, 4, 1e-9);
  assertAlmostEquals(fast.strokesPerSecond, 10, 1e-9);
  assertEquals([slow.meanQuarters, fast.meanQuarters], [1 / 4, 1 / 4]);
  assertAlmostEquals(fast.barSeconds, 1.6, 1e-9);
});

Deno.test("slashed notes count as what they stand for", () => {
  const slashed = first("C5:2 C5:2", { tremoloSlashes: 2 });
  const written = first("(C5:1/4)x16");
  assertEquals([slashed.strokes, slashed.meanQuarters, slashed.repeats], [
    written.strokes,
    written.meanQuarters,
    1,
  ]);
  assertEquals([slashed.tremolo, written.tremolo], [1, 0]);
});

Deno.test("chords count once, by their top note; a scale is a chain in one direction", () => {
  assertEquals(first("C5+E5+G5:2 C5+F5+A5:2").line.map((n) => n.soundingPitch), [79, 81]);
  assertEquals(first("C5:1/2 D5:1/2 E5:1/2 F5:1/2 G5:1/2 F5:1/2 C5:1").longestScale, 5);
  assertEquals(first("C5:1 r:3").longestScale, 1);
});

Deno.test("short bars are read with their neighbours, long ones alone", () => {
  const short = cellFeatures(example([["viola", "(C4:1/2 D4:1/2 E4:1/2 F4:1/2)x4"]], { quartersPerBar: 2 }));
  assert(short[1]!.windowUnits >= WINDOW_UNITS);
  assertEquals(short.map((f) => f.onsets), [4, 4, 4, 4]);
  assertEquals(cellFeatures(example([["viola", "(C4:4)x3"]]))[1]!.windowUnits, 4);
});

Deno.test("rests are silent, notes held over sound, percussion has no pitch", () => {
  const score = example([["horn in F", "F4:6 r:6"], ["snare drum", "(X:1)x12"]]);
  const features = cellFeatures(score);
  assertEquals(features.filter((f) => f.part === 0).map((f) => [f.onsets, f.sounds]), [[1, true], [0, true], [
    0,
    false,
  ]]);
  assertEquals(features.slice(0, 2).map(isPitched), [true, false]);
});

Deno.test("every quick figure of the table is named by its own rhythm", () => {
  for (
    const figure of FIGURES.filter((f) =>
      f.cellQuarters === 1 && (f.role === "pulse" || f.role === "figuration") && f.tones === undefined &&
      !f.id.startsWith("wave")
    )
  ) {
    const pitches = {
      "repeated notes": ["C5"],
      "broken chord": ["C5", "E5", "G5", "E5"],
      "alternation": ["C5", "G5"],
    }[figure.shape as "repeated notes" | "broken chord" | "alternation"];
    const notes = Array.from({ length: 4 }, (_, beat) =>
      figure.strokes.map((s, i) => {
        const gap = i === 0 && s.at > 0 ? `r:${s.at * QUARTER}/${QUARTER} ` : "";
        return `${gap}${pitches[(beat * figure.strokes.length + i) % pitches.length]}:${
          s.length * QUARTER
        }/${QUARTER}`;
      }).join(" ")).join(" ");
    assertEquals(nameFigure(first(notes), figure.role, { ticksPerQuarter: QUARTER }), figure.id);
  }
});

Deno.test("figures in dotted quarters are named in compound time, and even notes there keep their names", () => {
  const named = (bar: string, role: "pulse" | "bass") => {
    return nameFigure(first(bar, {}, { quartersPerBar: 3 }), role, { ticksPerQuarter: QUARTER });
  };
  assertEquals(named("(C3:1 C3:1/2)x4", "pulse"), "quarter and eighth");
  assertEquals(named("(r:1/2 C3:1/2 C3:1/2)x4", "pulse"), "off-beats in threes");
  assertEquals(named("(C3:3/2)x4", "bass"), "bass on every dotted quarter");
  assertEquals(named("(C3:1/2)x12", "pulse"), "repeated eighths");
  assertEquals(named("(C3:1)x6", "bass"), "bass on every quarter");
});

Deno.test("a rhythm the table has no word for is described by its note value", () => {
  assertEquals(
    nameFigure(first("(C5:1/8)x32"), "pulse", { ticksPerQuarter: QUARTER }),
    "repeated thirty-seconds",
  );
  assertEquals(
    nameFigure(first("(C5:1/6)x24"), "pulse", { ticksPerQuarter: QUARTER }),
    "repeated sextuplets",
  );
});
