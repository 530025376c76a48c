/** What comes back: whether a bar's contour or rhythm is heard in other bars, and in other parts. */
import type { Score } from "../../score/model.ts";
import type { Share } from "../../base/units.ts";
import type { CellFeatures } from "./features.ts";

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

/** Size of a step as the ear groups them, with its direction: same note, step, third, up to a fifth, wider. */
function stepClass(semitones: number): number {
  const size = Math.abs(semitones);
  const kind = size === 0 ? 0 : size <= 2 ? 1 : size <= 4 ? 2 : size <= 7 ? 3 : 4;
  return semitones < 0 ? -kind : kind;
}

/** When the notes of a bar begin, and how the line moves between them, however few they are. */
function contourOf(score: Score, { barIndex, line }: CellFeatures): string {
  const start = score.bars[barIndex]!.startTicks;
  let key = "";
  let before: number | undefined;
  for (const { onsetTicks, soundingPitch } of line) {
    key += `${onsetTicks - start}:${before === undefined ? 0 : stepClass(soundingPitch - before)} `;
    before = soundingPitch;
  }
  return key;
}

/** When the notes of a bar begin, and how long they are. */
function rhythmOf(score: Score, { barIndex, line }: CellFeatures): string {
  const start = score.bars[barIndex]!.startTicks;
  return line.map((n) => `${n.onsetTicks - start}:${n.durationTicks}`).join(" ");
}

/** Numbers for patterns, the same for the same; -1 for none. */
function numbersOf(patterns: readonly string[]): Int32Array {
  const known = new Map<string, number>();
  return Int32Array.from(patterns, (pattern) => {
    if (pattern === "") return -1;
    const found = known.get(pattern) ?? known.size;
    if (found === known.size) known.set(pattern, found);
    return found;
  });
}

/** For each cell with a pattern, in how many bars and in how many parts the pattern occurs: 0 for one, 1 for sixteen. */
function spreadOf(
  patterns: Int32Array,
  features: readonly CellFeatures[],
  parts: number,
): readonly (readonly [bars: Share, parts: Share])[] {
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
  const share = (count: number): Share => Math.min(1, Math.log2(count) / FULL_DOUBLINGS);
  return Array.from(
    patterns,
    (pattern) => pattern < 0 ? [0, 0] : [share(inBars[pattern]!), share(inParts[pattern]!)],
  );
}

/** Whether notes begin in a bar, and in the same places as in another. */
function hasSameOnsets({ line, felt }: CellFeatures, other: CellFeatures): boolean {
  const shift = felt.startTicks - other.felt.startTicks;
  return line.length > 0 && line.length === other.line.length &&
    line.every((n, i) => n.onsetTicks - other.line[i]!.onsetTicks === shift);
}

/**
 * How long each part strikes in the same places, bar after bar or in pairs of bars, however long its notes are.
 *
 * @param score the score
 * @param features features of the same score
 * @returns per cell 0 for one bar, 1 for sixteen, by the logarithm between
 */
export function keptStrokesOf(score: Score, features: readonly CellFeatures[]): readonly Share[] {
  const parts = score.parts.length;
  const isSame = (i: number, j: number) => hasSameOnsets(features[i]!, features[j]!);
  const [single, pairs] = [1, 2].map((period) => rowsOf(features.length, { step: period * parts, isSame }));
  return single!.map((kept, i) => Math.max(kept, pairs![i]!));
}

/** How long a part keeps to something without a break, each bar like the one so many cells before: 0 for once, 1 for 16 times. */
function rowsOf(
  cells: number,
  { step, isSame }: { readonly step: number; readonly isSame: (cell: number, before: number) => boolean },
): readonly Share[] {
  const before = new Int32Array(cells);
  const after = new Int32Array(cells);
  for (let i = step; i < cells; i++) if (isSame(i, i - step)) before[i] = before[i - step]! + 1;
  for (let i = cells - 1 - step; i >= 0; i--) if (before[i + step]! > 0) after[i] = after[i + step]! + 1;
  return Array.from(before, (count, i) => Math.min(1, Math.log2(1 + count + after[i]!) / FULL_DOUBLINGS));
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

/**
 * Numbers for the contours of each bar and the next: they are the same where both bars' are, with the step between them and
 * the length of the first; -1 where there are too few notes.
 */
function twoBarsOf(
  { bars }: Score,
  features: readonly CellFeatures[],
  { contours, parts }: { readonly contours: Int32Array; readonly parts: number },
): Int32Array {
  const known = new Map<string, number>();
  return contours.map((own, i) => {
    const next = features[i + parts];
    if (next === undefined) return -1;
    const { line, barIndex } = features[i]!;
    if (line.length + next.line.length < CONTOUR_FROM_NOTES) return -1;
    const [last, first] = [line.at(-1), next.line[0]];
    const step = last && first ? stepClass(first.soundingPitch - last.soundingPitch) : 0;
    const key = `${own} ${contours[i + parts]} ${step} ${first ? bars[barIndex]!.durationTicks : 0}`;
    const found = known.get(key) ?? known.size;
    if (found === known.size) known.set(key, found);
    return found;
  });
}

/** Patterns of every bar and part. */
export function patternsOf(score: Score, features: readonly CellFeatures[]): Patterns {
  const contours = numbersOf(features.map((f) => contourOf(score, f)));
  return {
    contour: contours.map((n, i) => features[i]!.line.length < CONTOUR_FROM_NOTES ? -1 : n),
    twoBars: twoBarsOf(score, features, { contours, parts: score.parts.length }),
    rhythm: numbersOf(features.map((f) => rhythmOf(score, f))),
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
 * @returns rows of {@linkcode RECURRENCE_CLUES}, by bar, then part, from 0 for what is heard once to 1 for sixteen bars
 *   or parts
 */
export function recurrencesOf(
  score: Score,
  features: readonly CellFeatures[],
  { patterns, pitchesAsBefore }: { readonly patterns: Patterns; readonly pitchesAsBefore: Float64Array },
): readonly (readonly Share[])[] {
  const parts = score.parts.length;
  const { contour: contours, twoBars: longer, rhythm: rhythms } = patterns;
  const [contour, twoBars, rhythm] = [contours, longer, rhythms].map((numbers) =>
    spreadOf(numbers, features, parts)
  );
  const hasRhythm = (i: number, j: number) => rhythms[i]! >= 0 && rhythms[i] === rhythms[j];
  const columns = [
    rowsOf(features.length, { step: parts, isSame: hasRhythm }),
    rowsOf(features.length, { step: 2 * parts, isSame: hasRhythm }),
    rowsOf(features.length, { step: parts, isSame: (i) => pitchesAsBefore[i] === 1 }),
  ];
  const silent = RECURRENCE_CLUES.map(() => 0);
  return features.map((f, i) =>
    f.sounds
      ? [...contour![i]!, ...twoBars![i]!, ...rhythm![i]!, ...columns.map((column) => column[i]!)]
      : silent
  );
}
