/** What comes back: whether a bar's contour or rhythm is heard in other bars, and in other parts. */
import { memoOfFigures } from "../../base/memo.ts";
import type { Share } from "../../base/units.ts";
import type { CellFeatures } from "./features.ts";
import { isStruckAs } from "./strokes_within.ts";
import type { ScoreFrame } from "./score_frame.ts";

/** Names of the clues, in the order of a row. */
export const RECURRENCE_CLUES = [
  "contourReturns",
  "contourElsewhere",
  "twoBarsReturn",
  "twoBarsElsewhere",
  "rhythmReturns",
  "rhythmElsewhere",
  "rhythmInARow",
  "rhythmInPairs",
  "pitchesInARow",
] as const;

/** Fewest notes that make a contour. */
const CONTOUR_FROM_NOTES = 3;
/** Doublings from one bar, or one part, to as many as count in full: sixteen. Model assumption, as the rest here. */
const FULL_DOUBLINGS = 4;

/** How often something comes, from 0 for once to 1 for sixteen times, by the logarithm between. */
const inDoublings = (count: number): Share => Math.min(1, Math.log2(count) / FULL_DOUBLINGS);

/** Size of a step as the ear groups them, with its direction: same note, step, third, up to a fifth, wider. */
function stepClass(semitones: number): number {
  const size = Math.abs(semitones);
  const kind = size === 0 ? 0 : size <= 2 ? 1 : size <= 4 ? 2 : size <= 7 ? 3 : 4;
  return semitones < 0 ? -kind : kind;
}

/** When the notes of a bar begin, and how the line moves between them, however few they are. */
function contourOf({ line, felt }: CellFeatures): readonly number[] {
  const contour: number[] = [];
  let before: number | undefined;
  for (const { onsetTicks, soundingPitch } of line) {
    contour.push(onsetTicks - felt.startTicks, before === undefined ? 0 : stepClass(soundingPitch - before));
    before = soundingPitch;
  }
  return contour;
}

/** When the notes of a bar begin, and how long they are. */
function rhythmOf({ line, felt }: CellFeatures): readonly number[] {
  const rhythm: number[] = [];
  for (const { onsetTicks, durationTicks } of line) rhythm.push(onsetTicks - felt.startTicks, durationTicks);
  return rhythm;
}

/** Numbers for what cells are known by, the same for the same; -1 for nothing. */
function numbersOf(
  features: readonly CellFeatures[],
  knownBy: (cell: CellFeatures, index: number) => readonly number[],
): Int32Array {
  const numbers = memoOfFigures<number>(Infinity);
  let count = 0;
  return Int32Array.from(features, (f, i) => {
    const figures = knownBy(f, i);
    return figures.length === 0 ? -1 : numbers(figures, () => count++);
  });
}

/** For each cell with a pattern, in how many bars and in how many parts the pattern occurs: 0 for one, 1 for sixteen. */
function spreadOf(
  patterns: Int32Array,
  features: readonly CellFeatures[],
  parts: number,
): readonly [bars: Float64Array, parts: Float64Array] {
  const [inBars, inParts] = [new Int32Array(patterns.length), new Int32Array(patterns.length)];
  const lastBar = new Int32Array(patterns.length).fill(-1);
  const known = new Set<number>();
  features.forEach(({ barIndex, part }, i) => {
    const pattern = patterns[i]!;
    if (pattern < 0) return;
    if (lastBar[pattern] !== barIndex) inBars[pattern]!++;
    lastBar[pattern] = barIndex;
    const before = known.size;
    if (known.add(pattern * parts + part).size > before) inParts[pattern]!++;
  });
  const sharesOf = (counts: Int32Array): Float64Array => {
    const shares = new Float64Array(patterns.length);
    patterns.forEach((pattern, i) => {
      if (pattern >= 0) shares[i] = inDoublings(counts[pattern]!);
    });
    return shares;
  };
  return [sharesOf(inBars), sharesOf(inParts)];
}

/**
 * How long each part strikes in the same places, bar after bar or in pairs of bars, however long its notes are.
 *
 * @param features features of every bar and part
 * @param known how many parts there are, and how far each cell's rhythm is that of the bar before
 * @returns per cell 0 for one bar, 1 for sixteen, by the logarithm between
 */
export function keptStrokesOf(
  features: readonly CellFeatures[],
  { parts, rhythmAsBefore }: { readonly parts: number; readonly rhythmAsBefore: Float64Array },
): Float64Array {
  const single = rowsOf(features.length, { step: parts, isSame: (i) => rhythmAsBefore[i] === 1 });
  const pairs = rowsOf(features.length, {
    step: 2 * parts,
    isSame: (i, j) => isStruckAs(features[i]!, features[j]!),
  });
  return single.map((kept, i) => Math.max(kept, pairs[i]!));
}

/** How long a part keeps to something without a break, each bar like the one so many cells before: 0 for once, 1 for 16 times. */
function rowsOf(
  cells: number,
  { step, isSame }: { readonly step: number; readonly isSame: (cell: number, before: number) => boolean },
): Float64Array {
  const before = new Int32Array(cells);
  const after = new Int32Array(cells);
  for (let i = step; i < cells; i++) if (isSame(i, i - step)) before[i] = before[i - step]! + 1;
  for (let i = cells - 1 - step; i >= 0; i--) if (before[i + step]! > 0) after[i] = after[i + step]! + 1;
  const rows = new Float64Array(cells);
  before.forEach((count, i) => rows[i] = inDoublings(1 + count + after[i]!));
  return rows;
}

/** What bars are known by where they come back, by cell: a number for all that are alike, -1 where there is too little to know. */
export interface Patterns {
  /** Contour of the bar. */
  readonly contour: Int32Array;
  /** Contour of the bar and the next. */
  readonly twoBars: Int32Array;
  /** Rhythm of the bar. */
  readonly rhythm: Int32Array;
}

/** Patterns of every bar and part. */
export function patternsOf(
  { bars, parts: { length: parts } }: ScoreFrame,
  features: readonly CellFeatures[],
): Patterns {
  const contours = numbersOf(features, contourOf);
  /** The contours of a bar and the next, with the step between them and the length of the first. */
  const twoBarsOf = ({ line, barIndex }: CellFeatures, i: number): readonly number[] => {
    const next = features[i + parts];
    if (next === undefined || line.length + next.line.length < CONTOUR_FROM_NOTES) return [];
    const [last, first] = [line.at(-1), next.line[0]];
    const step = last && first ? stepClass(first.soundingPitch - last.soundingPitch) : 0;
    return [contours[i]!, contours[i + parts]!, step, first ? bars[barIndex]!.durationTicks : 0];
  };
  return {
    contour: contours.map((n, i) => features[i]!.line.length < CONTOUR_FROM_NOTES ? -1 : n),
    twoBars: numbersOf(features, twoBarsOf),
    rhythm: numbersOf(features, rhythmOf),
  };
}

/**
 * How far what a part plays comes back in the score. A tune and its motives come back in other bars and are handed to
 * other parts; an accompaniment keeps to a rhythm, or to its pitches, for bars in a row. Contours go by when notes begin
 * and by the direction and rough size of each step, so that a sequence, or an answer in another key, is the same.
 *
 * @param score the score
 * @param features features of the same score
 * @param known patterns of the same score, and how far the pitches of each bar are those of the bar before
 * @returns for each of {@linkcode RECURRENCE_CLUES} a number per cell, from 0 for what is heard once to 1 for sixteen bars or
 *   parts
 */
export function recurrencesOf(
  score: ScoreFrame,
  features: readonly CellFeatures[],
  { patterns, pitchesAsBefore }: { readonly patterns: Patterns; readonly pitchesAsBefore: Float64Array },
): readonly Float64Array[] {
  const parts = score.parts.length;
  const { contour, twoBars, rhythm } = patterns;
  const hasRhythm = (i: number, j: number) => rhythm[i]! >= 0 && rhythm[i] === rhythm[j];
  return [
    ...[contour, twoBars, rhythm].flatMap((numbers) => spreadOf(numbers, features, parts)),
    rowsOf(features.length, { step: parts, isSame: hasRhythm }),
    rowsOf(features.length, { step: 2 * parts, isSame: hasRhythm }),
    rowsOf(features.length, { step: parts, isSame: (i) => pitchesAsBefore[i] === 1 }),
  ];
}
