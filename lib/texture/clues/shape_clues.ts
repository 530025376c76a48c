/** Clues of the shape of a figure: named numbers per bar and part, whoever else plays and whatever the part is for. */
import type { Note } from "../../score/model.ts";
import { strokesIn } from "../../score/tremolo.ts";
import type { CellFeatures } from "../features/features.ts";
import { chordOf, pitchClassesOf } from "../features/harmony_tones.ts";
import { type NoteChains, noteChains } from "../features/note_chains.ts";
import type { ScoreFrame } from "../features/score_frame.ts";

/** Silence in units that breaks a chain of notes. */
const SILENCE = 1;
/** Units the bars on either side should last, at least one bar. */
const NEAR = 3;
/** Notes that make a short chain of steps, a long one, a winding line, a broken chord, a leaping line. */
const CHAIN = { scale: 4, longScale: 5, winding: 5, arpeggio: 3, leaping: 4 } as const;

/** One part's notes from beginning to end. */
interface ShapedLine {
  readonly notes: readonly Note[];
  /** Strokes of each note, and the unit where it stands. */
  readonly strokes: readonly number[];
  readonly unitTicks: readonly number[];
  /** How long a stroke of each note is, in twenty-fourths of a unit. */
  readonly lengths: readonly number[];
  readonly chains: NoteChains;
  /** Whether silence parts each note from the one before it. */
  readonly isApart: readonly boolean[];
}

/** What is counted over a span. */
interface ShapedSpan {
  readonly line: ShapedLine;
  /** First note, and the note after the last. */
  readonly from: number;
  readonly to: number;
  /** How many units it lasts. */
  readonly length: number;
  readonly moves: LineMoves;
  /** Strokes, and units in which they are written. */
  readonly strokes: number;
  readonly written: number;
  /** Different pitches, as they come. */
  readonly pitches: readonly number[];
}

/** How a span goes from note to note. */
interface LineMoves {
  readonly repeats: number;
  readonly steps: number;
  readonly leaps: number;
  readonly returns: number;
  readonly turns: number;
}

function movesOf({ notes, strokes, isApart }: ShapedLine, from: number, to: number): LineMoves {
  let repeats = 0, steps = 0, leaps = 0, returns = 0, turns = 0, last = 0;
  for (let i = from; i < to; i++) {
    const note = notes[i]!;
    repeats += strokes[i]! - 1;
    if (i === from || isApart[i]) continue;
    const interval = note.soundingPitch - notes[i - 1]!.soundingPitch;
    if (interval === 0) {
      repeats++;
      continue;
    }
    if (Math.abs(interval) <= 2) steps++;
    else leaps++;
    if (interval * last < 0) turns++;
    if (i > from + 1 && notes[i - 2]!.soundingPitch === note.soundingPitch) returns++;
    last = interval;
  }
  return { repeats, steps, leaps, returns, turns };
}

function spanOf(
  line: ShapedLine,
  { from, to }: { readonly from: number; readonly to: number },
  length: number,
): ShapedSpan {
  const pitches: number[] = [];
  let strokes = 0, written = 0;
  for (let i = from; i < to; i++) {
    const { durationTicks, soundingPitch } = line.notes[i]!;
    strokes += line.strokes[i]!;
    written += durationTicks / line.unitTicks[i]!;
    if (!pitches.includes(soundingPitch)) pitches.push(soundingPitch);
  }
  return {
    line,
    from,
    to,
    length,
    moves: movesOf(line, from, to),
    strokes,
    written,
    pitches,
  };
}

/** Share of the notes in chains of a kind that have at least so many notes. */
const inChains = (kind: keyof NoteChains, least: number) => ({ line: { chains }, from, to }: ShapedSpan) => {
  const lengths = chains[kind];
  let inside = 0;
  for (let i = from; i < to; i++) if (lengths[i]! >= least) inside++;
  return inside / Math.max(1, to - from);
};

/** Notes of the longest chain of a kind. */
const longest = (kind: keyof NoteChains) => ({ line: { chains }, from, to }: ShapedSpan) => {
  const lengths = chains[kind];
  let most = 0;
  for (let i = from; i < to; i++) most = Math.max(most, lengths[i]!);
  return Math.log2(1 + most);
};

const moved = ({ moves }: ShapedSpan) => Math.max(1, moves.steps + moves.leaps);

/** Octaves between the lowest and the highest note. */
function compassOf({ pitches }: ShapedSpan): number {
  return pitches.length === 0 ? 0 : Math.min(3, (Math.max(...pitches) - Math.min(...pitches)) / 12);
}

/** Share of the notes with the commonest length. */
function evenness({ line: { lengths }, from, to }: ShapedSpan): number {
  const all = Math.max(1, to - from);
  let most = 0;
  for (let i = from; i < to; i++) if (lengths[i] === lengths[from]) most++;
  if (2 * most >= all) return most / all; // as in most bars
  const counts = new Map<number, number>();
  for (let i = from; i < to; i++) {
    const count = (counts.get(lengths[i]!) ?? 0) + 1;
    counts.set(lengths[i]!, count);
    most = Math.max(most, count);
  }
  return most / all;
}

/** The clues of one span, as a table. */
const TABLE: readonly { readonly name: string; readonly of: (span: ShapedSpan) => number }[] = [
  { name: "steps", of: (s) => s.moves.steps / moved(s) },
  { name: "leaps", of: (s) => s.moves.leaps / moved(s) },
  {
    name: "repeats",
    of: ({ moves: { repeats, steps, leaps } }) => repeats / Math.max(1, repeats + steps + leaps),
  },
  { name: "returns", of: (s) => s.moves.returns / moved(s) },
  { name: "turns", of: (s) => s.moves.turns / moved(s) },
  { name: "scale", of: inChains("scale", CHAIN.scale) },
  { name: "long scale", of: inChains("scale", CHAIN.longScale) },
  { name: "winding", of: inChains("winding", CHAIN.winding) },
  { name: "arpeggio", of: inChains("arpeggio", CHAIN.arpeggio) },
  { name: "leaping", of: inChains("leaping", CHAIN.leaping) },
  { name: "longest scale", of: longest("scale") },
  { name: "longest arpeggio", of: longest("arpeggio") },
  {
    name: "chord",
    of: ({ line, from, to, pitches }) =>
      pitches.length >= 3 && chordOf(pitchClassesOf(line.notes.slice(from, to))) ? 1 : 0,
  },
  { name: "pitches", of: (s) => Math.log2(1 + s.pitches.length) },
  { name: "single", of: (s) => s.pitches.length <= 1 ? 1 : 0 },
  { name: "compass", of: compassOf },
  { name: "even", of: evenness },
  { name: "pace", of: (s) => Math.log2(Math.max(0.25, s.strokes / Math.max(0.25, s.written))) },
  { name: "density", of: (s) => Math.log2(0.25 + s.strokes / s.length) },
  { name: "sounding", of: (s) => Math.min(1, s.written / s.length) },
  { name: "bare", of: ({ from, to }) => from === to ? 1 : 0 },
];

/** Names of the clues, in the order of a row: each read in the bar and with the bars around it. */
export const SHAPE_CLUES: readonly string[] = ["bar", "near"].flatMap((span) =>
  TABLE.map(({ name }) => `${span} ${name}`)
);

/** A part's notes from beginning to end, and the index at which each bar begins, and one beyond the last. */
function lineOf(
  cells: readonly CellFeatures[],
  ticksPerQuarter: number,
): { readonly line: ShapedLine; readonly starts: readonly number[] } {
  const notes: Note[] = [];
  const unitTicks: number[] = [];
  const starts = cells.map(({ line, felt }) => {
    const start = notes.length;
    for (const note of line) {
      notes.push(note);
      unitTicks.push(felt.unitTicks);
    }
    return start;
  });
  const isApart = notes.map(({ onsetTicks }, i) => {
    const before = notes[i - 1];
    return before !== undefined &&
      onsetTicks - before.onsetTicks - before.durationTicks > SILENCE * unitTicks[i]!;
  });
  const chains = noteChains(notes, (i) => isApart[i]!, ["scale", "winding", "arpeggio", "leaping"]);
  const strokes = notes.map((note) => strokesIn(note, ticksPerQuarter));
  const lengths = notes.map((n, i) => Math.round(n.durationTicks / strokes[i]! / unitTicks[i]! * 24));
  return { line: { notes, strokes, unitTicks, lengths, chains, isApart }, starts: [...starts, notes.length] };
}

/**
 * Clues of shape of every bar and part that is asked for: one row of {@linkcode SHAPE_CLUES} each, by bar, then part.
 *
 * @param score the score
 * @param features features of the same score
 * @param isAsked cells whose row is wanted, by default all; the rows of the others are empty
 */
export function shapeCluesOf(
  score: ScoreFrame,
  features: readonly CellFeatures[],
  isAsked: (cell: number) => boolean = () => true,
): readonly (readonly number[])[] {
  const parts = score.parts.length;
  const rows = new Array<readonly number[]>(features.length).fill([]);
  score.parts.forEach((_, part) => {
    const cells = score.bars.map((_, bar) => features[bar * parts + part]!);
    const { line, starts } = lineOf(cells, score.ticksPerQuarter);
    cells.forEach(({ felt }, bar) => {
      if (!isAsked(bar * parts + part)) return;
      const length = score.bars[bar]!.durationTicks / felt.unitTicks;
      const around = Math.max(1, Math.round(NEAR / length));
      const from = Math.max(0, bar - around), to = Math.min(cells.length, bar + around + 1);
      const here = spanOf(line, { from: starts[bar]!, to: starts[bar + 1]! }, length);
      const near = spanOf(line, { from: starts[from]!, to: starts[to]! }, length * (to - from));
      const row = new Array<number>(SHAPE_CLUES.length);
      TABLE.forEach(({ of }, i) => {
        row[i] = of(here);
        row[i + TABLE.length] = of(near);
      });
      rows[bar * parts + part] = row;
    });
  });
  return rows;
}
