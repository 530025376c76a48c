/** The clues that weighed most in a reading, in words a musician can check. */
import { memoOf } from "../../base/memo.ts";
import type { LinearModel } from "./weights.ts";

/** Words for a clue that is strong, and for one that is weak; empty where that is worth no word. */
const WORDS: Readonly<Record<string, readonly [strong: string, weak: string]>> = {
  repeats: ["repeats its notes", "does not repeat its notes"],
  steps: ["moves by step", ""],
  leaps: ["leaps", ""],
  returns: ["swings to and fro", ""],
  scale: ["goes up or down by step", ""],
  arpeggio: ["breaks chords", ""],
  pace: ["many strokes", "few strokes"],
  length: ["long notes", "short notes"],
  coverage: ["sounds throughout", "leaves gaps"],
  slurred: ["slurred", "unslurred"],
  short: ["staccato", ""],
  offBeat: ["off the beat", ""],
  apart: ["notes apart", ""],
  held: ["held notes", ""],
  quick: ["quick notes", "no quick notes"],
  dotted: ["dotted", ""],
  distinct: ["ever new pitches", "few pitches"],
  distinctLengths: ["varied lengths", ""],
  compass: ["wide compass", "narrow compass"],
  single: ["stays on one pitch", "changes its pitch"],
  fewStrokes: ["little motion", ""],
  rhythmAsBefore: ["goes on in its rhythm", ""],
  pitchesAsBefore: ["stays on its pitches", "goes on to new pitches"],
  higher: ["lies low among the parts", "lies high among the parts"],
  top: ["the top line", ""],
  groupTop: ["doubles the top line", ""],
  bottom: ["the lowest line", ""],
  softer: ["softer than others", "as loud as any"],
  busier: ["busier than the others", "calmer than the others"],
  longer: ["longer notes than the others", "shorter notes than the others"],
  unison: ["doubled", ""],
  sameRhythm: ["in the rhythm of others", ""],
  ownRhythm: ["a rhythm of its own", ""],
  othersHold: ["the others hold", ""],
  othersRepeat: ["the others repeat", ""],
  fresh: ["has just come in", ""],
  moreMoving: ["", "moves more than the others"],
  contourReturns: ["its contour comes back in other bars", "a contour heard once"],
  contourElsewhere: ["its contour is handed to other parts", ""],
  twoBarsReturn: ["its contour comes back in other bars", ""],
  twoBarsElsewhere: ["its contour is handed to other parts", ""],
  rhythmReturns: ["its rhythm comes back in other bars", ""],
  rhythmElsewhere: ["", "a rhythm nobody else has"],
  rhythmInARow: ["keeps its rhythm bar after bar", "changes its rhythm"],
  rhythmInPairs: ["keeps its rhythm in pairs of bars", "changes its rhythm"],
  pitchesInARow: ["keeps its pitches bar after bar", "changes its pitches"],
  firstStrings: ["first of the strings", ""],
  "with the first strings": ["with the first of the strings", ""],
  "over three bars": ["a tune in the bars around", ""],
  "with its doublings over five bars": ["a tune in the bars around", ""],
  "with its doublings over nine bars": ["a tune in the bars around", ""],
  "below the bar's best": ["more of a tune than the others", ""],
};

/** The clue without the span it was read over. */
function plainName(clue: string): string {
  return clue.replace(/^(bar|near|wide|melody:|around:) /, "");
}

/** A clue that has words. */
interface Worded {
  /** Its place in a row. */
  readonly at: number;
  /** Places of its words among all of its model; -1 for none. */
  readonly strong: number;
  readonly weak: number;
}

/** The clues of a model that have words, and all words, each once. */
const wordedOf = memoOf((clues: readonly string[]) => {
  const all: string[] = [];
  const placeOf = (word: string) => {
    if (word === "") return -1;
    const place = all.indexOf(word);
    return place < 0 ? all.push(word) - 1 : place;
  };
  const worded = clues.flatMap((clue, at): readonly Worded[] => {
    const words = WORDS[plainName(clue)];
    return words ? [{ at, strong: placeOf(words[0]), weak: placeOf(words[1]) }] : [];
  });
  // What the words of a row weigh is added up in one list, cleared for the next: rows are asked for by the thousand.
  return { worded, words: all, totals: new Float64Array(all.length), isFound: new Uint8Array(all.length) };
});

/**
 * The clues that spoke most for a kind, in words.
 *
 * @param model the model
 * @param row clues of the cell, in the model's order
 * @param options index of the kind, and how many clues to name
 * @returns words, the strongest first
 */
export function strongestClues(
  { clues, means, spreads, weights }: LinearModel,
  row: ArrayLike<number>,
  { kind = 0, count = 2 }: { readonly kind?: number; readonly count?: number } = {},
): readonly string[] {
  const { worded, words, totals, isFound } = wordedOf(clues);
  totals.fill(0);
  isFound.fill(0);
  /** Words by when they first came up: of several that weigh the same the first is named. */
  const found: number[] = [];
  const own = weights[kind]!;
  for (const { at, strong, weak } of worded) {
    const deviation = (row[at]! - means[at]!) / spreads[at]!;
    const word = deviation > 0 ? strong : weak;
    if (word < 0) continue;
    if (isFound[word] === 0) found.push(word);
    isFound[word] = 1;
    totals[word]! += own[at]! * deviation;
  }
  const strongest: string[] = [];
  while (strongest.length < count) {
    let most = -1;
    for (const word of found) if (totals[word]! > (most < 0 ? 0 : totals[most]!)) most = word;
    if (most < 0) break;
    strongest.push(words[most]!);
    totals[most] = 0;
  }
  return strongest;
}
