/** What is counted per bar and part, and summed over spans of bars. */
import type { Articulation, Note } from "../../score/model.ts";
import { strokesIn } from "../../score/tremolo.ts";
import { type CellFeatures, distinctIn } from "../features/features.ts";
import { type FeltBar, isOnBeat, placeIn } from "../features/felt_time.ts";
import { noteChains } from "../features/note_chains.ts";
import type { ScoreFrame } from "../features/score_frame.ts";

/** What is counted. Lengths are in units of the metre. */
const COUNTS = [
  "onsets",
  "strokes",
  "sounding",
  "written",
  "moves",
  "repeats",
  "steps",
  "leaps",
  "wide",
  "returns",
  "scaleNotes",
  "arpeggioNotes",
  "slurred",
  "short",
  "offBeat",
  "offHalf",
  "downbeats",
  "apart",
  "held",
  "quick",
  "dotted",
  "dynamics",
  "pitches",
  "accents",
  "bar",
  "turns",
  "distinctPitches",
  "distinctLengths",
  "compass",
] as const;

/** One of the counts. */
export type Count = typeof COUNTS[number];

/** Where a count stands among those of its cell. */
export const COUNT = Object.fromEntries(COUNTS.map((name, i) => [name, i])) as Readonly<
  Record<Count, number>
>;

/** How many counts a cell has. */
export const COUNT_WIDTH = COUNTS.length;

/** From which lengths and silences things are counted, in units; notes in scales and broken chords. Model assumptions. */
const COUNTED = {
  heldFrom: 1.9,
  quickTo: 0.34,
  apartFrom: 0.4,
  chainBrokenFrom: 2,
  scaleFromNotes: 4,
  arpeggioFromNotes: 3,
} as const;

/** Adds to a count of a cell, one unless it is said how much. */
type Add = (place: number, amount?: number) => void;

const endOf = ({ onsetTicks, durationTicks }: Note) => onsetTicks + durationTicks;

/** Whether a length is a dotted value: three times a half, a quarter, an eighth … of the metre's values. */
function isDotted(ticks: number, quarter: number): boolean {
  const binary = Math.log2(ticks / quarter / 3);
  return Math.abs(binary - Math.round(binary)) < 0.01;
}

const isShort = (sign: Articulation) => sign === "staccato" || sign === "staccatissimo";
const isAccented = (sign: Articulation) => sign === "accent" || sign === "marcato";

/** Counts what a note is by itself: its length, its signs, where it stands. */
function countNote(
  add: Add,
  note: Note,
  { felt, quarter }: { readonly felt: FeltBar; readonly quarter: number },
): void {
  const strokes = strokesIn(note, quarter);
  const stroke = note.durationTicks / strokes;
  add(COUNT.onsets);
  add(COUNT.strokes, strokes);
  add(COUNT.written, note.durationTicks / felt.unitTicks);
  add(COUNT.dynamics, note.dynamic);
  add(COUNT.pitches, note.soundingPitch);
  if (note.slurred || note.slurStart) add(COUNT.slurred);
  if (note.articulations.some(isShort)) add(COUNT.short);
  if (note.articulations.some(isAccented)) add(COUNT.accents);
  if (!isOnBeat(note.onsetTicks, felt)) add(COUNT.offBeat);
  if (placeIn(note.onsetTicks, felt, felt.beatTicks / felt.divisions) >= 1e-6) add(COUNT.offHalf);
  if (note.onsetTicks === felt.startTicks) add(COUNT.downbeats);
  if (stroke >= COUNTED.heldFrom * felt.unitTicks) add(COUNT.held);
  if (stroke <= COUNTED.quickTo * felt.unitTicks) add(COUNT.quick);
  if (isDotted(stroke, quarter)) add(COUNT.dotted);
  if (strokes > 1) {
    add(COUNT.moves, strokes - 1);
    add(COUNT.repeats, strokes - 1);
  }
}

/** Counts how a note is reached from the one before, given the one before that and the way the line went. */
function countMove(
  add: Add,
  { interval, last, returns }: {
    readonly interval: number;
    readonly last: number;
    readonly returns: boolean;
  },
): void {
  const size = Math.abs(interval);
  add(COUNT.moves);
  add(size === 0 ? COUNT.repeats : size <= 2 ? COUNT.steps : COUNT.leaps);
  if (size > 7) add(COUNT.wide);
  if (size > 0 && returns) add(COUNT.returns);
  if (interval * last < 0) add(COUNT.turns);
}

/** Units of silence before each note of a line; without end before the first and after the last. */
function silencesIn(cells: readonly CellFeatures[], notes: number): Float64Array {
  const silences = new Float64Array(notes + 1).fill(Infinity);
  let before: Note | undefined;
  let i = 0;
  for (const { line, felt } of cells) {
    for (const note of line) {
      if (before) silences[i] = (note.onsetTicks - endOf(before)) / felt.unitTicks;
      before = note;
      i++;
    }
  }
  return silences;
}

/** Counts the notes of one part from beginning to end. */
function countLine(
  counts: Float64Array,
  cells: readonly CellFeatures[],
  { parts, quarter }: { readonly parts: number; readonly quarter: number },
): void {
  const notes = cells.flatMap((cell) => cell.line);
  const silences = silencesIn(cells, notes.length);
  const pitchOf = (i: number) => notes[i]!.soundingPitch;
  const isApart = (i: number) => silences[i]! > COUNTED.chainBrokenFrom;
  const isBroken = (i: number) => isApart(i) || pitchOf(i - 1) === pitchOf(i);
  const chains = noteChains(notes, isBroken, ["scale", "leaping"]);
  let [i, last] = [0, 0];
  for (const { barIndex, part, line, felt } of cells) {
    const at = (barIndex * parts + part) * COUNT_WIDTH;
    const add: Add = (place, amount = 1) => counts[at + place]! += amount;
    const own = { felt, quarter };
    for (const note of line) {
      if (silences[i]! >= COUNTED.apartFrom && silences[i + 1]! >= COUNTED.apartFrom) add(COUNT.apart);
      if (chains.scale[i]! >= COUNTED.scaleFromNotes) add(COUNT.scaleNotes);
      if (chains.leaping[i]! >= COUNTED.arpeggioFromNotes) add(COUNT.arpeggioNotes);
      countNote(add, note, own);
      const interval = isApart(i) ? 0 : pitchOf(i) - pitchOf(i - 1);
      if (!isApart(i)) {
        const returns = i >= 2 && pitchOf(i - 2) === pitchOf(i) && !isApart(i - 1);
        countMove(add, { interval, last, returns });
      }
      last = interval;
      i++;
    }
  }
}

/** Units in which a part sounds in each bar, clipped to the bars. */
function addSounding(
  { bars }: ScoreFrame,
  cells: readonly CellFeatures[],
  { counts, parts }: { readonly counts: Float64Array; readonly parts: number },
): void {
  let until = -1;
  cells.forEach(({ line, felt, part }, b) => {
    const { startTicks, durationTicks } = bars[b]!;
    const end = startTicks + durationTicks;
    let sounding = Math.max(0, Math.min(until, end) - startTicks);
    for (const n of line) {
      const from = Math.max(n.onsetTicks, until);
      until = Math.max(until, endOf(n));
      sounding += Math.max(0, Math.min(until, end) - Math.min(from, end));
    }
    counts[(b * parts + part) * COUNT_WIDTH + COUNT.sounding] = sounding / felt.unitTicks;
  });
}

/** Counts of every bar and part. */
export function countsOf(score: ScoreFrame, features: readonly CellFeatures[]): Float64Array {
  const parts = score.parts.length;
  const counts = new Float64Array(features.length * COUNT_WIDTH);
  features.forEach(({ line, felt }, cell) => {
    const at = cell * COUNT_WIDTH;
    counts[at + COUNT.bar] = score.bars[Math.floor(cell / parts)]!.durationTicks / felt.unitTicks;
    if (line.length === 0) return;
    let lowest = Infinity, highest = -Infinity;
    for (const { soundingPitch } of line) {
      lowest = Math.min(lowest, soundingPitch);
      highest = Math.max(highest, soundingPitch);
    }
    counts[at + COUNT.distinctPitches] = distinctIn(line, (n) => n.soundingPitch).length;
    counts[at + COUNT.distinctLengths] = distinctIn(line, (n) => n.durationTicks).length;
    counts[at + COUNT.compass] = highest - lowest;
  });
  for (let part = 0; part < parts; part++) {
    const cells = score.bars.map((_, b) => features[b * parts + part]!);
    countLine(counts, cells, { parts, quarter: score.ticksPerQuarter });
    addSounding(score, cells, { counts, parts });
  }
  return counts;
}
