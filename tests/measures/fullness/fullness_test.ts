/** Fullness by hand, and what it may be relied on for as properties of generated chords. */
import { assert, assertAlmostEquals, assertEquals, assertGreater, assertLess } from "@std/assert";
import fc from "fast-check";
import { demoPlans, demoSketch, realise, type Score, vary } from "ripieno";
import { fullness, FULLNESS_CONSTANTS } from "ripieno/measures";
import { type Line, smallScore } from "../small_scores.ts";

const INSTRUMENTS = ["violin", "viola", "cello", "horn in F", "clarinet in Bb"];
const lead: Line = { instrument: "flute", role: "lead", notes: [{ at: 0, quarters: 4, pitch: 84 }] };
/** One held chord of a bar beside a flute, under a chord symbol; each pitch a part of its own. */
function chord(pitches: readonly number[], symbol: string, lines: readonly Line[] = [lead]): Score {
  const score = smallScore([
    ...lines,
    ...pitches.map((pitch, i): Line => ({
      instrument: INSTRUMENTS[i % INSTRUMENTS.length]!,
      role: "pad",
      layer: "pad",
      notes: [{ at: 0, quarters: 4, pitch }],
    })),
  ], { bars: 1 });
  return { ...score, chords: [{ onsetTicks: 0, symbol }] };
}
const barOf = (score: Score) => fullness(score).perBar[0]!;

Deno.test("fullness() by hand: complete, without its third, without its seventh, with a hole", () => {
  const full = barOf(chord([48, 55, 60, 64], "C"));
  assertEquals([full.fullness, full.completeness, full.missing, full.widestGap, full.gapFrom], [
    1,
    1,
    "",
    7,
    48,
  ]);
  const bare = barOf(chord([48, 55, 60], "C"));
  assertEquals([bare.fullness, bare.missing], [0.5, "third"]);
  const plain = barOf(chord([43, 50, 59], "G7"));
  assertEquals(plain.missing, "seventh");
  assertAlmostEquals(plain.completeness!, 2 / 3, 1e-12);
  // Two octaves over the bass, where a twelfth is allowed; and an octave and a tenth higher up.
  assertAlmostEquals(barOf(chord([40, 64, 67, 72], "C")).spacing!, 19 / 24, 1e-12);
  assertAlmostEquals(barOf(chord([48, 55, 60, 76], "C")).spacing!, 1, 1e-12);
  assertAlmostEquals(barOf(chord([36, 48, 52, 76], "C")).spacing!, 16 / 24, 1e-12);
});

Deno.test("fullness() counts who has the third and the leading note, who is low and high, and how many play", () => {
  // G major in C major: its third is the leading note.
  const bar = barOf(chord([43, 59, 62, 71], "G"));
  assertEquals([bar.thirdShare, bar.leadingNoteShare], [0.5, 0.5]);
  assertEquals([bar.lowShare, bar.highShare, bar.players], [0.25, 0, 5]);
  assertEquals(barOf(chord([48, 64, 67], "C")).leadingNoteShare, null);
  // E major in A minor, whose signature is the same: G sharp leads to A.
  const minor = barOf(chord([40, 56, 59, 64], "E"));
  assertEquals([minor.thirdShare, minor.leadingNoteShare], [0.25, 0.25]);
  const cluster = barOf(chord([60, 61], "C"));
  assertEquals([cluster.widestGap, cluster.gapFrom], [1, 60]);
});

Deno.test("fullness() takes a broken chord for a chord, and a lead alone for nothing", () => {
  const broken: Line = {
    instrument: "harp",
    role: "figuration",
    layer: "broken",
    notes: [48, 55, 64, 60].map((pitch, i) => ({ at: i, quarters: 1, pitch })),
  };
  assertEquals(barOf(chord([], "C", [lead, broken])).fullness, 1);
  const alone = barOf(chord([], "C"));
  assertEquals([alone.fullness, alone.completeness, alone.spacing, alone.players], [0, null, null, 1]);
  assertEquals(fullness(smallScore([], { bars: 2 })).whole, {
    fullness: 0,
    completeness: null,
    spacing: null,
    players: 0,
  });
});

Deno.test("fullness() reads the chord off the notes where no symbol says it, lead included", () => {
  const read = (pitches: readonly number[]) => fullness({ ...chord(pitches, "C"), chords: [] }).perBar[0]!;
  assertEquals(read([48, 55, 60, 64]).missing, "");
  assertEquals(read([45, 52, 57, 60]).missing, "");
  // A above sounds in the flute alone: F major without its third.
  const thirdInLead: Line = { ...lead, notes: [{ at: 0, quarters: 4, pitch: 81 }] };
  assertEquals(
    fullness({ ...chord([41, 48, 53], "F", [thirdInLead]), chords: [] }).perBar[0]!.missing,
    "third",
  );
});

const voices = fc.uniqueArray(fc.integer({ min: 36, max: 83 }), { minLength: 1, maxLength: 7 });
const symbols = fc.constantFrom("C", "Am", "G7", "Dm", "F", "Bdim", "Em7");

Deno.test("axiom: the lead's own notes change nothing, nor the order of parts, nor a doubling in unison", () => {
  fc.assert(
    fc.property(voices, symbols, fc.integer({ min: 60, max: 90 }), (pitches, symbol, tune) => {
      const { fullness: full, completeness, spacing } = barOf(chord(pitches, symbol));
      const other: Line = { ...lead, notes: [{ at: 0, quarters: 4, pitch: tune }] };
      for (
        const same of [
          chord(pitches, symbol, [other]),
          chord(pitches.toReversed(), symbol),
          chord([...pitches, pitches[0]!], symbol),
        ]
      ) {
        const bar = barOf(same);
        assertEquals([bar.fullness, bar.completeness, bar.spacing], [full, completeness, spacing]);
      }
    }),
    { seed: 1908, numRuns: 200 },
  );
});

Deno.test("axiom: a tone put into a chord within its compass never makes it less full", () => {
  fc.assert(
    fc.property(voices, symbols, fc.integer({ min: 0, max: 999 }), (pitches, symbol, at) => {
      const [low, high] = [Math.min(...pitches), Math.max(...pitches)];
      const added = low + Math.floor(at / 1000 * (high - low + 1));
      // A second pitch from below sets the bass apart: what is put in right above it may bring the narrower limit to bear.
      const c = FULLNESS_CONSTANTS;
      const same = { overBassSemitones: c.apartSemitones.value };
      const of = (all: readonly number[]) =>
        fullness(chord(all, symbol), { constants: same }).perBar[0]!.fullness;
      assert(of([...pitches, added]) >= of(pitches) - 1e-12);
    }),
    { seed: 1909, numRuns: 300 },
  );
});

Deno.test("axiom: transposed with its chords, fullness is the same", () => {
  const NAMES = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"];
  fc.assert(
    fc.property(
      voices,
      fc.constantFrom("", "m", "7", "m7"),
      fc.integer({ min: 1, max: 11 }),
      (pitches, kind, by) => {
        const at = (semitones: number) =>
          barOf(chord(pitches.map((p) => p + semitones), `${NAMES[semitones]}${kind}`));
        assertAlmostEquals(at(by).fullness, at(0).fullness, 1e-12);
        assertEquals(at(by).missing, at(0).missing);
      },
    ),
    { seed: 1910, numRuns: 200 },
  );
});

Deno.test("a plan without its pad is less full, one without its thirds too, and is told so", () => {
  const { held } = demoPlans();
  const whole = (plan: typeof held) => fullness(realise(demoSketch(), plan));
  const full = whole(held);
  const bare = whole(vary(held, { remove: true }, { role: "pad" }));
  assertGreater(full.whole.fullness, 0.95);
  assertLess(bare.whole.fullness, 0.6);
  assert(bare.description.some((words) => words.includes("wants its third")), bare.description.join("\n"));
});
