/** Clues of how a part moves over a span of bars, as a table: a name, and what it is of the counts. */
import { COUNT, type Count } from "./counts.ts";

/** Counts of one part over a span, by their places in {@linkcode COUNT}. */
export type Counted = (place: number) => number;

/** A clue of a span of bars. */
interface SpanClue {
  /** Its name. */
  readonly name: string;
  /** Its value. */
  readonly of: (n: Counted) => number;
}

/** Least lengths that are reckoned with, in units. */
const [LEAST_SPAN, LEAST_LENGTH] = [0.25, 0.0625];

const perMove = (count: Count) => {
  const place = COUNT[count];
  return (n: Counted) => n(place) / Math.max(1, n(COUNT.moves));
};
const perOnset = (count: Count) => {
  const place = COUNT[count];
  return (n: Counted) => Math.min(1, n(place) / Math.max(1, n(COUNT.onsets)));
};
const heldNotes = perOnset("held");
const isBare = (n: Counted) => n(COUNT.onsets) === 0;

/** Strokes per unit in which the part sounds. */
export const paceOf = (n: Counted): number => n(COUNT.strokes) / Math.max(LEAST_SPAN, n(COUNT.sounding));
/** Mean length of a stroke in units. */
export const lengthOf = (n: Counted): number => n(COUNT.written) / Math.max(1, n(COUNT.strokes));

const CLUES_OF_SPAN: readonly SpanClue[] = [
  { name: "repeats", of: perMove("repeats") },
  { name: "steps", of: perMove("steps") },
  { name: "leaps", of: perMove("leaps") },
  { name: "wide", of: perMove("wide") },
  { name: "returns", of: perMove("returns") },
  { name: "turns", of: perMove("turns") },
  { name: "scale", of: perOnset("scaleNotes") },
  { name: "arpeggio", of: perOnset("arpeggioNotes") },
  { name: "pace", of: (n) => isBare(n) ? -2 : Math.log2(Math.max(LEAST_SPAN, paceOf(n))) },
  { name: "length", of: (n) => isBare(n) ? 2 : Math.log2(Math.max(LEAST_LENGTH, lengthOf(n))) },
  { name: "coverage", of: (n) => Math.min(1, n(COUNT.sounding) / Math.max(LEAST_SPAN, n(COUNT.bar))) },
  { name: "slurred", of: perOnset("slurred") },
  { name: "short", of: perOnset("short") },
  { name: "offBeat", of: perOnset("offBeat") },
  { name: "offHalf", of: perOnset("offHalf") },
  { name: "apart", of: perOnset("apart") },
  { name: "held", of: (n) => isBare(n) ? 1 : heldNotes(n) },
  { name: "quick", of: perOnset("quick") },
  { name: "dotted", of: perOnset("dotted") },
  { name: "distinct", of: perOnset("distinctPitches") },
  { name: "distinctLengths", of: perOnset("distinctLengths") },
  { name: "compass", of: (n) => Math.min(2, n(COUNT.compass) / 12 / Math.max(1, n(COUNT.bar) / 4)) },
  { name: "single", of: (n) => n(COUNT.distinctPitches) <= 1 ? 1 : 0 },
  { name: "fewStrokes", of: (n) => n(COUNT.strokes) / Math.max(LEAST_SPAN, n(COUNT.bar)) < 0.8 ? 1 : 0 },
];

/** How many clues a span has. */
export const SPAN_WIDTH = CLUES_OF_SPAN.length;

/** Spans clues are read over: the bar, and as many units around it at least. */
export const SPANS: readonly (readonly [name: string, units: number])[] = [
  ["bar", 0],
  ["near", 4],
  ["wide", 12],
];

/** Names of the clues, span by span. */
export const SPAN_CLUES: readonly string[] = SPANS.flatMap(([span]) =>
  CLUES_OF_SPAN.map(({ name }) => `${span} ${name}`)
);

/** Writes the clues of one span into a row. */
export function writeSpanClues(row: Float64Array, from: number, counted: Counted): void {
  CLUES_OF_SPAN.forEach(({ of }, i) => row[from + i] = of(counted));
}

/** Counts of a part, out of a table of them. */
export function countedAt(table: Float64Array, at: number): Counted {
  return (place) => table[at + place]!;
}
