/** Chords placed on parts: complete, clear, in order, smooth; and the places parts are given. */
import { assert, assertEquals, assertGreaterOrEqual, assertLess, assertLessOrEqual } from "@std/assert";
import fc from "fast-check";
import { allInstruments, instrumentById } from "../../../../lib/instruments/catalogue.ts";
import { registerFor } from "../../../../lib/orchestrate/realise/register_for.ts";
import { voiceChord } from "../../../../lib/orchestrate/realise/layers/voice_chord.ts";
import { lowIntervalLimit } from "../../../../lib/score/low_interval_limit.ts";
import { ROLE_NAMES } from "../../../../lib/texture/roles.ts";
import { pitchClass } from "../../sketches.ts";

function tones(...classes: readonly number[]) {
  return classes.map((c) => ({ pitchClass: c, name: "?" }));
}

const HORNS = Array.from({ length: 4 }, () => ({ low: 48, high: 72 }));

Deno.test("a triad on four equal parts is complete, in order from the top, and doubles no third", () => {
  for (let root = 0; root < 12; root++) {
    const classes = [root, (root + 4) % 12, (root + 7) % 12];
    const pitches = voiceChord(tones(...classes), HORNS);
    assertEquals(new Set(pitches.map(pitchClass)), new Set(classes));
    assertEquals(pitches, pitches.toSorted((a, b) => b - a));
    assertEquals(pitches.filter((p) => pitchClass(p) === classes[1]).length, 1, `${pitches}`);
  }
});

Deno.test("two parts on a chord of the seventh keep third and seventh, and leave out the fifth first", () => {
  const pitches = voiceChord(tones(7, 11, 2, 5), HORNS.slice(0, 2)).map(pitchClass);
  assertEquals(new Set(pitches), new Set([11, 5]));
  const three = voiceChord(tones(7, 11, 2, 5), HORNS.slice(0, 3)).map(pitchClass);
  assert(!three.includes(2), `${three}`);
});

Deno.test("one part beside others fills in what they lack", () => {
  const [pitch] = voiceChord(tones(0, 4, 7), [{ low: 55, high: 66 }], { besides: [60, 67] });
  assertEquals(pitchClass(pitch!), 4);
  const [fifth] = voiceChord(tones(0, 4, 7), [{ low: 53, high: 69 }], { besides: [60, 64] });
  assertEquals(pitchClass(fifth!), 7);
});

Deno.test("common tones stay and the rest move by step: C to A minor to F to G", () => {
  let pitches = voiceChord(tones(0, 4, 7), HORNS);
  for (const [next, most] of [[[9, 0, 4], 2], [[5, 9, 0], 2], [[7, 11, 2], 3]] as const) {
    const moved = voiceChord(tones(...next), HORNS, { previous: pitches });
    moved.forEach((p, i) => assertLessOrEqual(Math.abs(p - pitches[i]!), most, `${pitches} to ${moved}`));
    pitches = moved;
  }
});

Deno.test("a part whose range holds no tone of the chord gets none", () => {
  const pitches = voiceChord(tones(0, 4, 7), [{ low: 61, high: 63 }, { low: 55, high: 70 }]);
  assert(Number.isNaN(pitches[0]) && pitches[1]! >= 55);
});

const anyChord = fc.tuple(
  fc.nat(11),
  fc.constantFrom([0, 4, 7], [0, 3, 7], [0, 4, 7, 10], [0, 3, 7, 10], [0, 4, 7, 11], [0, 3, 6, 10], [
    0,
    5,
    7,
  ]),
).map(([root, steps]) => steps.map((s) => (root + s) % 12));
const anyRanges = fc.array(
  fc.tuple(fc.integer({ min: 36, max: 66 }), fc.integer({ min: 14, max: 30 })).map(([low, span]) => ({
    low,
    high: low + span,
  })),
  { minLength: 3, maxLength: 7 },
);

Deno.test("whatever the chord and the parts: chord tones in range, no muddy interval where there is room, the same again", () => {
  fc.assert(
    fc.property(anyChord, anyRanges, (classes, ranges) => {
      const pitches = voiceChord(tones(...classes), ranges);
      pitches.forEach((p, i) => {
        assert(classes.includes(pitchClass(p)));
        assert(p >= ranges[i]!.low && p <= ranges[i]!.high);
      });
      const sorted = pitches.toSorted((a, b) => a - b);
      const muddy = sorted.slice(1).filter((p, i) =>
        p > sorted[i]! && sorted[i]! < lowIntervalLimit(p - sorted[i]!)
      );
      if (ranges.every((r) => r.low >= 52)) assertEquals(muddy, [], `${sorted}`);
      assertEquals(voiceChord(tones(...classes), ranges), pitches);
    }),
    { seed: 7, numRuns: 150 },
  );
});

Deno.test("every role has a place inside the comfortable range of every instrument, wide enough for a chord", () => {
  for (const instrument of allInstruments()) {
    const { low, high } = instrument.rangeComfortable;
    for (const role of ROLE_NAMES) {
      for (const octave of [-3, -1, 0, 1, 3]) {
        const place = registerFor(instrument, role, octave);
        const what = `${instrument.id}, ${role}, ${octave}: ${place.low} to ${place.high}`;
        assertGreaterOrEqual(place.low, low, what);
        assertLessOrEqual(place.high, high, what);
        assertGreaterOrEqual(place.high - place.low, Math.min(12, high - low), what);
      }
    }
  }
});

Deno.test("an octave up moves the place up where the instrument has room, and the bass lies below the pad", () => {
  const violin = instrumentById("violin");
  assertEquals(registerFor(violin, "pulse", 1).low, registerFor(violin, "pulse").low + 9);
  const cello = instrumentById("cello");
  assertLess(registerFor(cello, "bass").low, registerFor(cello, "pad").low);
  assertLess(registerFor(cello, "pulse").home!, registerFor(violin, "pulse").home!);
});
