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

/** When the notes of some bars in a row begin, and how the line moves between them; empty where there are too few. */
function contourOf(score: Score, bars: readonly CellFeatures[]): string {
  const start = score.bars[bars[0]!.barIndex]!.startTicks;
  let key = "";
  let count = 0;
  let before: number | undefined;
  for (const { line } of bars) {
    for (const { onsetTicks, soundingPitch } of line) {
      key += `${onsetTicks - start}:${before === undefined ? 0 : stepClass(soundingPitch - before)} `;
      before = soundingPitch;
      count++;
    }
  }
  return count < CONTOUR_FROM_NOTES ? "" : key;
}

/** When the notes of a bar begin, and how long they are. */
function rhythmOf(score: Score, { barIndex, line }: CellFeatures): string {
  const start = score.bars[barIndex]!.startTicks;
  return line.map((n) => `${n.onsetTicks - start}:${n.durationTicks}`).join(" ");
}

/** For each cell with a pattern, in how many bars and in how many parts the pattern occurs: 0 for one, 1 for sixteen. */
function spreadOf(
  patterns: readonly string[],
  features: readonly CellFeatures[],
): readonly (readonly [bars: Share, parts: Share])[] {
  const found = new Map<string, { readonly bars: Set<number>; readonly parts: Set<number> }>();
  patterns.forEach((pattern, i) => {
    if (pattern === "") return;
    let places = found.get(pattern);
    if (places === undefined) found.set(pattern, places = { bars: new Set(), parts: new Set() });
    places.bars.add(features[i]!.barIndex);
    places.parts.add(features[i]!.part);
  });
  const share = (count: number): Share => Math.min(1, Math.log2(count) / FULL_DOUBLINGS);
  return patterns.map((pattern) => {
    const places = found.get(pattern);
    return places === undefined ? [0, 0] : [share(places.bars.size), share(places.parts.size)];
  });
}

/** When the notes of a bar begin, in ticks from the bar line; empty where none does. */
function onsetsOf(score: Score, { barIndex, line }: CellFeatures): string {
  const start = score.bars[barIndex]!.startTicks;
  return line.map((n) => n.onsetTicks - start).join(" ");
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
  const onsets = features.map((f) => onsetsOf(score, f));
  const [single, pairs] = [1, 2].map((period) => rowsOf(onsets, { parts, period }));
  return single!.map((kept, i) => Math.max(kept, pairs![i]!));
}

/** How long a part keeps to a pattern without a break, each bar like the one so many bars before: 0 for once, 1 for 16 times. */
function rowsOf(
  patterns: readonly string[],
  { parts, period }: { parts: number; period: number },
): readonly Share[] {
  const step = parts * period;
  const isKept = patterns.map((pattern, i) => pattern !== "" && pattern === patterns[i - step]);
  const before = new Int32Array(patterns.length);
  const after = new Int32Array(patterns.length);
  for (let i = step; i < patterns.length; i++) if (isKept[i]) before[i] = before[i - step]! + 1;
  for (let i = patterns.length - 1 - step; i >= 0; i--) if (isKept[i + step]) after[i] = after[i + step]! + 1;
  return patterns.map((_, i) => Math.min(1, Math.log2(1 + before[i]! + after[i]!) / FULL_DOUBLINGS));
}

/** What bars are known by where they come back, by cell; empty where there is too little to know. */
export interface Patterns {
  /** Contour of the bar. */
  readonly contour: readonly string[];
  /** Contour of the bar and the next. */
  readonly twoBars: readonly string[];
  /** Rhythm of the bar. */
  readonly rhythm: readonly string[];
}

/** Patterns of every bar and part. */
export function patternsOf(score: Score, features: readonly CellFeatures[]): Patterns {
  const parts = score.parts.length;
  return {
    contour: features.map((f) => contourOf(score, [f])),
    twoBars: features.map((f, i) =>
      i + parts < features.length ? contourOf(score, [f, features[i + parts]!]) : ""
    ),
    rhythm: features.map((f) => rhythmOf(score, f)),
  };
}

/**
 * How far what a part plays comes back in the score. A tune and its motives come back in other bars and are handed to
 * other parts; an accompaniment keeps to a rhythm, or to its pitches, for bars in a row. Contours go by when notes begin
 * and by the direction and rough size of each step, so that a sequence, or an answer in another key, is the same.
 *
 * @param score the score
 * @param features features of the same score
 * @param patterns patterns of the same score
 * @returns rows of {@linkcode RECURRENCE_CLUES}, by bar, then part, from 0 for what is heard once to 1 for sixteen bars
 *   or parts
 */
export function recurrencesOf(
  score: Score,
  features: readonly CellFeatures[],
  { contour: contours, twoBars: longer, rhythm: rhythms }: Patterns,
): readonly (readonly Share[])[] {
  const parts = score.parts.length;
  const pitches = features.map(({ line }) =>
    [...new Set(line.map((n) => n.soundingPitch))].sort((a, b) => a - b).join(" ")
  );
  const [contour, twoBars, rhythm] = [contours, longer, rhythms].map((patterns) =>
    spreadOf(patterns, features)
  );
  const columns = [
    rowsOf(rhythms, { parts, period: 1 }),
    rowsOf(rhythms, { parts, period: 2 }),
    rowsOf(pitches, { parts, period: 1 }),
  ];
  const silent = RECURRENCE_CLUES.map(() => 0);
  return features.map((f, i) =>
    f.sounds
      ? [...contour![i]!, ...twoBars![i]!, ...rhythm![i]!, ...columns.map((column) => column[i]!)]
      : silent
  );
}
