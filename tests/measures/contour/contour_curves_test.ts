/** The curves of a contour, their ranges and what is said of them, worked out by hand. */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { type Balance, balance, type Score } from "ripieno";
import { contour, type ContourOptions } from "ripieno/measures";
import { smoothed } from "../../../lib/measures/contour/contour_shapes.ts";
import { type Line, type LineNote, smallScore } from "../small_scores.ts";

const line = (instrument: string, role: Line["role"], notes: readonly LineNote[]): Line => ({
  instrument,
  role,
  layer: role,
  notes,
});
/** One note in each bar. */
const inBars = (pitches: readonly number[], quarters = 4): readonly LineNote[] =>
  pitches.map((pitch, b) => ({ at: 4 * b, quarters, pitch }));

/** A balance with loudness in sones, and shares of it, given for each bar. */
function heardAs(
  score: Score,
  sones: readonly number[],
  shares: Readonly<Record<string, number>> = {},
): Balance {
  const measured = balance(score);
  return {
    ...measured,
    perBar: measured.perBar.map((b) => ({ ...b, loudnessSones: sones[b.barIndex]! })),
    perLayer: measured.perLayer.map((l) => ({ ...l, loudnessShare: shares[l.layer] ?? l.loudnessShare })),
  };
}

/** Single bars, so that nothing is averaged. */
const single = (score: Score, options: ContourOptions = {}) =>
  contour(score, { wish: "rise", ...options, constants: { overBars: 1, ...options.constants } });

Deno.test("loudness is in phons: 40 at one sone, ten more for each doubling (ISO 532-1); silence has none", () => {
  const score = smallScore([line("flute", "lead", inBars([72, 72, 72, 72]))], { bars: 4 });
  const { perBar, whole } = single(score, { balance: heardAs(score, [1, 4, 0.5, 0]) });
  assertEquals(perBar.map((b) => b.loudnessPhons), [40, 60, 30, null]);
  assertEquals(whole.loudnessRange, 30);
});

Deno.test("register is the mean pitch by length within the bar, of layers by their share of the loudness", () => {
  const held = smallScore([line("viola", "pad", [
    { at: 2, quarters: 4, pitch: 60 },
    { at: 6, quarters: 1, pitch: 70 },
  ])]);
  // In the second bar two quarters on 60 and one on 70.
  const bars = single(held).perBar;
  assertEquals([bars[0]!.register, bars[0]!.lowest, bars[0]!.highest], [60, 60, 60]);
  assertAlmostEquals(bars[1]!.register!, (2 * 60 + 70) / 3, 1e-9);
  assertEquals([bars[1]!.lowest, bars[1]!.highest], [60, 70]);
  const two = smallScore([line("flute", "lead", inBars([80])), line("cello", "pad", inBars([48]))], {
    bars: 1,
  });
  const heard = heardAs(two, [1], { lead: 0.25, pad: 0.75 });
  assertAlmostEquals(single(two, { balance: heard }).perBar[0]!.register!, 0.25 * 80 + 0.75 * 48, 1e-9);
});

Deno.test("density counts notes that begin in the bar; one that is held over counts where it began", () => {
  const score = smallScore([line("viola", "pad", [
    { at: 0, quarters: 1, pitch: 60 },
    { at: 1, quarters: 1, pitch: 60 },
    { at: 3, quarters: 2, pitch: 64 },
    { at: 5, quarters: 1, pitch: 60 },
    { at: 5, quarters: 1, pitch: 67 },
    { at: 8, quarters: 4, pitch: 67 },
  ])], { bars: 4, quartersPerMinute: 120 });
  // A bar lasts two seconds; the last is empty.
  const { perBar, whole } = single(score);
  assertEquals(perBar.map((b) => b.notesPerSecond), [1.5, 1, 0.5, 0]);
  const quick = smallScore([line("flute", "lead", inBars([72, 74]))], { bars: 2, quartersPerMinute: 480 });
  assertEquals(single(quick).perBar.map((b) => b.notesPerSecond), [2, 2], "a bar of half a second");
  assertEquals(whole.densityRange, 3);
});

Deno.test("a curve is level up to one phon, one semitone, or a tenth more notes, and counts as none in the whole", () => {
  const score = smallScore([line("flute", "lead", inBars([72, 73, 72, 73]))], { bars: 4 });
  const follows = (sones: readonly number[], constants = {}) =>
    single(score, { balance: heardAs(score, sones), constants }).perCurve.map((c) => c.follows);
  const twoSemitones = smallScore([line("flute", "lead", inBars([72, 74, 72, 74]))], { bars: 4 });
  assert(single(twoSemitones).perCurve[1]!.follows !== null);
  assert(single(twoSemitones, { wish: [1, 3] }).perCurve[1]!.follows! > 0, "two heights are a shape");
  const phon = 2 ** 0.1;
  assertEquals(follows([1, phon, phon, phon]), [null, null, null]);
  assert(follows([1, 1, phon, phon ** 1.01])[0] !== null);
  assert(follows([1, 1, 1, 1], { levelSemitones: 0.99 })[1] !== null);
  const counts = (...strokes: readonly number[]) =>
    single(smallScore([
      line(
        "viola",
        "pad",
        strokes.flatMap((n, b) =>
          Array.from({ length: n }, (_, i) => ({ at: 4 * b + i * 4 / n, quarters: 4 / n, pitch: 60 }))
        ),
      ),
    ], { bars: 2 })).perCurve[2]!.follows;
  assertEquals([counts(10, 10), counts(10, 11)], [null, null]);
  assertAlmostEquals(counts(10, 12)!, 1, 1e-9);
  assertAlmostEquals(counts(12, 10)!, -1, 1e-9);
});

Deno.test("the whole is the mean of the three by weights 2, 1, 1; what is level counts nothing", () => {
  const rising = smallScore([line("flute", "lead", inBars([72, 74, 76, 78]))], { bars: 4 });
  const of = (sones: readonly number[], options: ContourOptions = {}) =>
    single(rising, { balance: heardAs(rising, sones), ...options });
  // Loudness falls, register rises, density is level: (2 · -1 + 1 + 0) / 4.
  const { whole, description } = of([8, 4, 2, 1]);
  assertAlmostEquals(whole.contour!, -0.25, 1e-9);
  assertEquals(description, [
    "Loudness goes against the shape wished for (-1.00), over 30 phons.",
    "Register goes with the shape wished for (1.00), over 6 semitones.",
    "Density stays level, over 1 times.",
  ]);
  assertAlmostEquals(of([8, 4, 2, 1], { constants: { loudnessWeight: 0 } }).whole.contour!, 0.5, 1e-9);
  // Ranks 1 4 2 3 against 1 2 3 4: 1 - 6 · (0 + 4 + 1 + 1) / (4 · 15) = 0.4; 3 1 2 4 gives 0.4 too, 2 4 1 3 none.
  const said = (...sones: readonly number[]) => {
    const { perCurve, description } = of(sones);
    return [perCurve[0]!.follows!.toFixed(2), description[0]!.replace(/ \(.*/, "")];
  };
  assertEquals(said(1, 8, 2, 4), ["0.40", "Loudness goes with the shape wished for"]);
  assertEquals(said(4, 2, 8, 1), ["-0.40", "Loudness goes against the shape wished for"]);
  assertEquals(said(2, 8, 1, 4), ["0.00", "Loudness goes its own way"]);
  assertEquals(said(4, 1, 8, 2), ["0.00", "Loudness goes its own way"]);
});

Deno.test("without a wish the curves are held against the tune, and its mean over as many bars", () => {
  const tune = [72, 79, 74, 81, 76];
  const score = smallScore([
    line("flute", "lead", inBars(tune)),
    line("cello", "pad", inBars([48, 48, 48, 48, 48])),
  ], { bars: 5 });
  const { against, perBar, perCurve } = contour(score, { balance: heardAs(score, [1, 1, 2, 2, 4]) });
  assertEquals(against, "tune");
  assertEquals(perBar.map((b) => b.wanted), tune);
  // Means over three: 75.5, 75, 78, 77, 78.5 against 40, 43.3, 46.7, 53.3, 55: ranks 2 1 4 3 5, two pairs swapped.
  assertAlmostEquals(perCurve[0]!.follows!, 1 - 6 * 4 / (5 * 24), 1e-9);
});

Deno.test("means are over as many bars around as are asked for; an even number is as good as one less", () => {
  const values = [1, 2, null, 4, 10];
  assertEquals(smoothed(values, 5), [1.5, 7 / 3, null, 16 / 3, 7]);
  assertEquals(smoothed(values, 4), smoothed(values, 3));
  assertEquals(smoothed(values, 2), values);
});

Deno.test("named shapes lie between 0 and 1, straight from point to point; a bar without length has no density", () => {
  const score = smallScore([line("flute", "lead", inBars([72, 72, 72, 72, 72]))], { bars: 5 });
  const heard = heardAs(score, [1, 1, 1, 1, 1]);
  const wanted = (wish: "rise" | "fall" | "arch" | "bowl") =>
    contour(score, { balance: heard, wish }).perBar.map((b) => b.wanted);
  assertEquals(wanted("rise"), [0, 0.25, 0.5, 0.75, 1]);
  assertEquals(wanted("fall"), [1, 0.75, 0.5, 0.25, 0]);
  assertEquals(wanted("arch"), [0, 0.5, 1, 0.5, 0]);
  assertEquals(wanted("bowl"), [1, 0.5, 0, 0.5, 1]);
  const empty = { ...score, bars: [{ ...score.bars[0]!, durationTicks: 0 }, ...score.bars] };
  assertEquals(contour(empty, { wish: "rise" }).perBar[0]!.notesPerSecond, 0);
});
