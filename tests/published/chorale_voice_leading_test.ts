/**
 * Four-part pads held against what Bach does in four parts. Counted with music21 10.5.0 over 368 four-part chorales: on every
 * crotchet 19,774 spacings, on every onset 70,072 moves of two voices. Our pads are slower and lie under a tune, so bounds are of
 * the order of magnitude: three times the published share of what is to be avoided, four fifths of what is to be kept. Two
 * parts that stay on one pitch are one voice here.
 */
import { assertGreater, assertLess } from "@std/assert";
import { padSetting } from "../setup/pad_settings.ts";
import type { Note } from "../../lib/score/model.ts";

/** Shares in the chorales. */
const PUBLISHED = {
  /** Soprano and alto, alto and tenor more than an octave apart. */
  upperOverOctave: [0.0035, 0.008],
  /** Tenor and bass more than a twelfth apart. */
  lowestOverTwelfth: 0.008,
  /** Of moves of two voices: fifths, octaves and unisons in parallel. */
  parallelFifths: 0.00066,
  parallelOctaves: 0.00029,
  /** Moves of at most a tone: soprano, alto, tenor. */
  bySteps: [0.83, 0.8, 0.76],
  /** Leaps over a fifth: soprano, alto, tenor. */
  leaps: [0.007, 0.01, 0.015],
} as const;
const AT_MOST = 3;
const AT_LEAST = 0.8;

const counts = {
  spacings: 0,
  upperOverOctave: [0, 0],
  lowestOverTwelfth: 0,
  pairs: 0,
  parallelFifths: 0,
  parallelOctaves: 0,
  moves: [0, 0, 0],
  bySteps: [0, 0, 0],
  leaps: [0, 0, 0],
};

/** Pitches of four parts at every place where one of them begins a note. */
function voicesOf(notes: readonly Note[], parts: readonly number[]): readonly (readonly number[])[] {
  const onsets = [...new Set(notes.map((n) => n.onsetTicks))].sort((a, b) => a - b);
  return onsets.map((at) =>
    parts.map((part) =>
      notes.find((n) => n.part === part && n.onsetTicks <= at && n.onsetTicks + n.durationTicks > at)
        ?.soundingPitch ?? NaN
    )
  ).filter((pitches) => !pitches.some(Number.isNaN));
}

for (let seed = 20_000; seed < 20_600; seed++) {
  const { score } = padSetting(seed);
  const pad = score.layers!.find((l) => l.role === "pad")!;
  if (pad.parts.length !== 4) continue;
  const chords = voicesOf(score.notes.filter((n) => n.layer === pad.id), pad.parts);
  chords.forEach((chord, k) => {
    const sorted = chord.toSorted((a, b) => b - a);
    counts.spacings++;
    for (const i of [0, 1]) {
      if (sorted[i]! - sorted[i + 1]! > 12) counts.upperOverOctave[i]!++;
    }
    if (sorted[2]! - sorted[3]! > 19) counts.lowestOverTwelfth++;
    const before = chords[k - 1];
    if (before === undefined) return;
    for (let i = 0; i < 4; i++) {
      const size = Math.abs(chord[i]! - before[i]!);
      if (size > 0 && i < 3) {
        counts.moves[i]!++;
        if (size <= 2) counts.bySteps[i]!++;
        if (size > 7) counts.leaps[i]!++;
      }
      for (let j = i + 1; j < 4; j++) {
        const [up, down] = [chord[i]! - before[i]!, chord[j]! - before[j]!];
        if (up === 0 || down === 0) continue;
        counts.pairs++;
        const [first, second] = [Math.abs(before[i]! - before[j]!), Math.abs(chord[i]! - chord[j]!)];
        if (Math.sign(up) !== Math.sign(down) || first % 12 !== second % 12) continue;
        if (second % 12 === 7) counts.parallelFifths++;
        if (second % 12 === 0 && first + second > 0) counts.parallelOctaves++;
      }
    }
  });
}

Deno.test("chorales: neighbouring voices of four-part pads lie as near to each other", () => {
  assertGreater(counts.spacings, 1000);
  PUBLISHED.upperOverOctave.forEach((share, i) =>
    assertLess(counts.upperOverOctave[i]!, AT_MOST * share * counts.spacings)
  );
  assertLess(counts.lowestOverTwelfth, AT_MOST * PUBLISHED.lowestOverTwelfth * counts.spacings);
});

Deno.test("chorales: fifths and octaves in parallel are as rare", () => {
  assertLess(counts.parallelFifths, AT_MOST * PUBLISHED.parallelFifths * counts.pairs);
  assertLess(counts.parallelOctaves, AT_MOST * PUBLISHED.parallelOctaves * counts.pairs);
});

Deno.test("chorales: the voices move by step as much, and leap as seldom", () => {
  PUBLISHED.bySteps.forEach((share, i) =>
    assertGreater(counts.bySteps[i]!, AT_LEAST * share * counts.moves[i]!)
  );
  PUBLISHED.leaps.forEach((share, i) => assertLess(counts.leaps[i]!, AT_MOST * share * counts.moves[i]!));
});
