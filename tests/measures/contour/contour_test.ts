/** Contour by hand, and what it may be relied on for as properties of generated passages. */
import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import { demoPlans, demoSketch, InputError, realise, type Score, vary } from "ripieno";
import { contour } from "ripieno/measures";
import { sortNotes } from "ripieno/score";
import { curveOver, smoothed } from "../../../lib/measures/contour/contour_shapes.ts";
import { type Line, smallScore } from "../small_scores.ts";

/** A bar of a generated passage: a tune and a chord under it, repeated so often. */
interface GeneratedBar {
  readonly tune: number;
  readonly chord: number;
  readonly strokes: number;
  readonly dynamic: number;
}
const someBars = fc.array(
  fc.record({
    tune: fc.integer({ min: 67, max: 79 }),
    chord: fc.integer({ min: 50, max: 60 }),
    strokes: fc.constantFrom(1, 2, 4, 8),
    dynamic: fc.integer({ min: 3, max: 6 }),
  }),
  { minLength: 4, maxLength: 9 },
);

/** Four quarters each; nothing is held over a bar line. */
function passage(bars: readonly GeneratedBar[], by = 0): Score {
  const lines: readonly Line[] = [
    {
      instrument: "clarinet in Bb",
      role: "lead",
      notes: bars.map(({ tune, dynamic }, b) => ({ at: 4 * b, quarters: 3, pitch: tune + by, dynamic })),
    },
    {
      instrument: "viola",
      role: "pulse",
      players: 8,
      notes: bars.flatMap(({ chord, strokes, dynamic }, b) =>
        Array.from({ length: strokes }, (_, i) => ({
          at: 4 * b + i * 3 / strokes,
          quarters: 3 / strokes,
          pitch: chord + by,
          dynamic,
        }))
      ),
    },
  ];
  return smallScore(lines, { bars: bars.length });
}
const follows = (score: Score, wish?: Parameters<typeof contour>[1]) =>
  contour(score, wish).perCurve.map((c) => c.follows);

/** The wish alone, over single bars: with a mean over three, equal neighbours make equal places. */
const RISE = { wish: "rise", constants: { overBars: 1 } } as const;

Deno.test("contour() by hand: it rises, falls, stays level", () => {
  const rising = [0, 1, 2, 3].map((i): GeneratedBar => ({
    tune: 67 + 2 * i,
    chord: 50 + 3 * i,
    strokes: 2 ** i,
    dynamic: 3 + i,
  }));
  const up = contour(passage(rising), RISE);
  up.perCurve.forEach((c) => assertAlmostEquals(c.follows!, 1, 1e-12));
  assertEquals(up.against, "wish");
  assertAlmostEquals(up.whole.contour!, 1, 1e-12);
  assertAlmostEquals(up.whole.densityRange, 9 / 2, 1e-9);
  assertEquals(up.perBar.map((b) => [b.lowest, b.highest]), [[50, 67], [53, 69], [56, 71], [59, 73]]);
  assertAlmostEquals(contour(passage(rising), { ...RISE, wish: "fall" }).whole.contour!, -1, 1e-12);
  // The tune rises too, and without a wish all is held against it.
  assertAlmostEquals(contour(passage(rising)).whole.contour!, 1, 1e-12);
  const level = contour(passage(rising.map(() => rising[0]!)), RISE);
  assertEquals([level.whole.contour, ...level.perCurve.map((c) => c.follows)], [null, null, null, null]);
  assert(level.description.every((words) => words.includes("stays level")), level.description.join("\n"));
});

Deno.test("curves of single points, and means over bars, by hand", () => {
  assertEquals(curveOver([0, 1, 0], 5), [0, 0.5, 1, 0.5, 0]);
  assertEquals(curveOver([3, 1, 2], 3), [3, 1, 2]);
  assertEquals(curveOver([3, 1], 1), [3]);
  assertEquals(smoothed([3, 6, null, 0], 3), [4.5, 4.5, null, 0]);
  assertEquals(smoothed([3, 6, null, 0], 1), [3, 6, null, 0]);
});

Deno.test("axiom: a passage of equal bars is level, whatever is wished, and silence too", () => {
  fc.assert(
    fc.property(someBars, fc.constantFrom("rise", "fall", "arch", "bowl"), (bars, wish) => {
      const level = passage(bars.map(() => bars[0]!));
      assertEquals(contour(level, { wish }).whole.contour, null);
      assertEquals(contour({ ...level, notes: [] }, { wish }).whole.contour, null);
    }),
    { seed: 41, numRuns: 12 },
  );
});

Deno.test("axiom: bars in the reverse order turn what was wished to rise round", () => {
  fc.assert(
    fc.property(someBars, (bars) => {
      const there = follows(passage(bars), { wish: "rise" });
      const back = follows(passage(bars.toReversed()), { wish: "rise" });
      there.forEach((value, i) => {
        if (value === null) assertEquals(back[i], null);
        else assertAlmostEquals(back[i]!, -value, 1e-9);
      });
    }),
    { seed: 42, numRuns: 20 },
  );
});

Deno.test("axiom: louder everywhere by a step changes neither register nor density, and hardly where loudness goes", () => {
  fc.assert(
    fc.property(someBars, (bars) => {
      const shape = contour(passage(bars), { wish: "rise" });
      const louder = contour(passage(bars.map((b) => ({ ...b, dynamic: b.dynamic + 1 }))), { wish: "rise" });
      assertEquals(louder.perBar.map((b) => b.notesPerSecond), shape.perBar.map((b) => b.notesPerSecond));
      assertEquals(louder.perCurve[2], shape.perCurve[2]);
      assert(louder.perBar.every((b, i) => b.loudnessPhons! > shape.perBar[i]!.loudnessPhons!));
      assertAlmostEquals(louder.whole.loudnessRange, shape.whole.loudnessRange, 3);
    }),
    { seed: 43, numRuns: 20 },
  );
});

Deno.test("axiom: an octave up keeps density and compass, and lifts the register by an octave or nearly", () => {
  fc.assert(
    fc.property(someBars, (bars) => {
      const [low, high] = [contour(passage(bars)), contour(passage(bars, 12))];
      assertEquals(high.perCurve[2], low.perCurve[2]);
      high.perBar.forEach((b, i) => {
        const below = low.perBar[i]!;
        assertEquals([b.lowest! - 12, b.highest! - 12], [below.lowest, below.highest]);
        // The shares of loudness change with the register, and with them its mean a little.
        assertAlmostEquals(b.register! - 12, below.register!, 6);
      });
    }),
    { seed: 44, numRuns: 20 },
  );
});

Deno.test("axiom: the order of the parts changes nothing, nor does a doubling in unison change density", () => {
  fc.assert(
    fc.property(someBars, (bars) => {
      const score = passage(bars);
      const turned: Score = {
        ...score,
        parts: score.parts.toReversed(),
        notes: sortNotes(score.notes.map((n) => ({ ...n, part: 1 - n.part }))),
        layers: score.layers!.map((l) => ({ ...l, parts: l.parts.map((p) => 1 - p) })),
      };
      const [one, other] = [contour(score), contour(turned)];
      assertEquals(other.perCurve[2], one.perCurve[2]);
      other.perBar.forEach((b, i) => {
        assertAlmostEquals(b.loudnessPhons!, one.perBar[i]!.loudnessPhons!, 1e-9);
        assertAlmostEquals(b.register!, one.perBar[i]!.register!, 1e-9);
      });
    }),
    { seed: 45, numRuns: 12 },
  );
});

Deno.test("a tune in unison is no denser, and a slashed note is as dense as its strokes", () => {
  const held: Line = {
    instrument: "violin",
    role: "lead",
    notes: [{ at: 0, quarters: 4, pitch: 72 }, { at: 4, quarters: 4, pitch: 74 }],
  };
  const per = (lines: readonly Line[]) => contour(smallScore(lines)).perBar.map((b) => b.notesPerSecond);
  assertEquals(per([held, { ...held, instrument: "flute" }]), per([held]));
  assertEquals(per([held]), [0.5, 0.5]);
  const shaken = { ...held, notes: held.notes.map((n) => ({ ...n, tremoloSlashes: 2 })) };
  assertEquals(per([shaken]), [8, 8]);
});

Deno.test("what is no shape is refused with those there are", () => {
  const score = passage([{ tune: 70, chord: 55, strokes: 2, dynamic: 5 }]);
  assertThrows(() => contour(score, { wish: "zigzag" as never }), InputError, "rise, fall, arch, bowl");
  assertThrows(() => contour(score, { wish: [1] }), InputError, "two heights");
});

Deno.test("a plan that swells goes further than one that does not, and as it is wished", () => {
  const { held } = demoPlans();
  const marks = ["pp", "p", "mp", "mf", "f", "ff"];
  const swelling = {
    ...held,
    passages: held.passages.map((p, i) =>
      vary({ ...held, passages: [p] }, { set: { dynamic: marks[i]! } }).passages[0]!
    ),
  };
  const loudness = (plan: typeof held) => contour(realise(demoSketch(), plan), { wish: "rise" }).perCurve[0]!;
  assert(loudness(swelling).range > loudness(held).range + 3);
  assert(loudness(swelling).follows! > 0.9, String(loudness(swelling).follows));
});

Deno.test("contour() of silence has no range; the ranges of a score are those of its curves", () => {
  const { whole, perCurve } = contour(
    smallScore([{ instrument: "flute", role: "lead", notes: [] }], { bars: 3 }),
  );
  assertEquals([whole.contour, whole.loudnessRange, whole.registerRange, whole.densityRange], [
    null,
    0,
    0,
    1,
  ]);
  assertEquals(perCurve.map((c) => c.follows), [null, null, null]);
  const moving = contour(
    passage([60, 67, 72, 79].map((tune, b) => ({ tune, chord: 50, strokes: 2 ** b, dynamic: 3 + b }))),
  );
  assertEquals(
    [moving.whole.loudnessRange, moving.whole.registerRange, moving.whole.densityRange],
    moving.perCurve.map((c) => c.range),
  );
});
