/** Chords placed on parts: complete, clear, in order, smooth; and the places parts are given. */
import { assert, assertEquals, assertGreaterOrEqual, assertLess, assertLessOrEqual } from "@std/assert";
import fc from "fast-check";
import { allInstruments, instrumentById } from "../../../../lib/instruments/catalogue.ts";
import { registerFor } from "../../../../lib/orchestrate/realise/register_for.ts";
import { type ChordToVoice, voiceChords } from "../../../../lib/orchestrate/realise/layers/voice_chords.ts";
import type { VoiceRange } from "../../../../lib/orchestrate/realise/layers/task.ts";
import { lowIntervalLimit } from "../../../../lib/score/low_interval_limit.ts";
import { ROLE_NAMES } from "../../../../lib/texture/roles.ts";
import { pitchClass } from "../../sketches.ts";

function tones(...classes: readonly number[]) {
  return classes.map((c) => ({ pitchClass: c, name: "?" }));
}

/** Parts that speak wherever they play. */
const partsIn = (ranges: readonly VoiceRange[]) => ranges.map((range) => ({ range, speaks: () => true }));

/** One chord by itself. */
function voiceChord(
  chord: readonly { readonly pitchClass: number; readonly name: string }[],
  ranges: readonly VoiceRange[],
  more: Partial<ChordToVoice> = {},
): readonly number[] {
  return voiceChords([{ tones: chord, ...more }], partsIn(ranges))[0]!;
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

Deno.test("voices move little from chord to chord: C to A minor to F to G", () => {
  const chords = [[0, 4, 7], [9, 0, 4], [5, 9, 0], [7, 11, 2]].map((classes) => ({
    tones: tones(...classes),
  }));
  const voiced = voiceChords(chords, partsIn(HORNS));
  for (const k of [1, 2, 3]) {
    const moves = voiced[k]!.map((p, i) => Math.abs(p - voiced[k - 1]![i]!));
    const where = `${voiced[k - 1]} to ${voiced[k]}`;
    assertLessOrEqual(Math.max(...moves), 4, where);
    assertLessOrEqual(moves.reduce((sum, move) => sum + move, 0), 10, where);
  }
});

// Published practice of four-part writing; Huron, Tone and Voice (2001), rule D9.
Deno.test("root position going up by step: no fifths or octaves in parallel, neither among the voices nor with the bass", () => {
  const chords = [[0, 4, 7], [2, 5, 9], [4, 7, 11], [5, 9, 0], [7, 11, 2], [9, 0, 4]].map((classes, k) => ({
    tones: tones(...classes),
    bass: [48 + [0, 2, 4, 5, 7, 9][k]!],
    besides: [48 + [0, 2, 4, 5, 7, 9][k]!],
  }));
  for (const parts of [2, 3, 4]) {
    const ranges = Array.from({ length: parts }, () => ({ low: 52, high: 76 }));
    const lines = voiceChords(chords, partsIn(ranges)).map((pitches, k) => [...pitches, chords[k]!.bass[0]!]);
    lines.slice(1).forEach((to, k) => {
      const from = lines[k]!;
      for (let i = 0; i < to.length; i++) {
        for (let j = i + 1; j < to.length; j++) {
          const [first, second] = [from[i]! - from[j]!, to[i]! - to[j]!].map((n) => Math.abs(n) % 12);
          const isSame = Math.sign(to[i]! - from[i]!) * Math.sign(to[j]! - from[j]!) > 0;
          // Parts in unison are one voice.
          if (from[i] === from[j] && to[i] === to[j]) continue;
          assert(!(isSame && first === second && (second === 0 || second === 7)), `${from} to ${to}`);
        }
      }
    });
  }
});

// Published practice of four-part writing.
Deno.test("the seventh of a dominant falls, its third rises", () => {
  for (let root = 0; root < 12; root++) {
    const at = (...steps: readonly number[]) => tones(...steps.map((s) => (root + s) % 12));
    const [from, to] = voiceChords([{ tones: at(0, 4, 7, 10) }, { tones: at(5, 9, 0) }], partsIn(HORNS));
    from!.forEach((p, i) => {
      const tone = (p - root + 120) % 12;
      if (tone === 10) assertEquals(to![i]! - p, -1, `${from} to ${to}`);
      if (tone === 4) assertEquals(to![i]! - p, 1, `${from} to ${to}`);
    });
  }
});

Deno.test("voices stay under the lead where they have a choice of tones there, else between its octaves", () => {
  for (let ceiling = 60; ceiling <= 72; ceiling++) {
    const pitches = voiceChord(tones(0, 4, 7), HORNS, { ceilings: [ceiling] });
    assertLess(Math.max(...pitches), ceiling, `${pitches}`);
    const between = voiceChord(tones(0, 4, 7), [{ low: 58, high: 79 }, { low: 58, high: 79 }], {
      ceilings: [60, ceiling + 12],
    });
    assertLess(Math.max(...between), ceiling + 12, `${between}`);
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
