/** Clues of the shape of a figure: named numbers per bar and part, whoever else plays and whatever the part is for. */
import type { Note, Score } from "../../score/model.ts";
import { strokeCount } from "../../score/tremolo.ts";
import type { CellFeatures } from "../features/features.ts";
import { chordOf, pitchClassesOf } from "../features/harmony_tones.ts";
import { type NoteChains, noteChains } from "../features/note_chains.ts";

/** Clues of one span. */
const SPAN_CLUES = [
  "steps",
  "leaps",
  "repeats",
  "returns",
  "turns",
  "scale",
  "long scale",
  "winding",
  "arpeggio",
  "leaping",
  "longest scale",
  "longest arpeggio",
  "chord",
  "pitches",
  "single",
  "compass",
  "even",
  "pace",
  "density",
  "sounding",
  "bare",
] as const;

/** Names of the clues, in the order of a row: each read in the bar and with the bars around it. */
export const SHAPE_CLUES: readonly string[] = [
  ...["bar", "near"].flatMap((span) => SPAN_CLUES.map((clue) => `${span} ${clue}`)),
  "short bar",
];

/** Quarters the bars on either side should last, at least one bar. */
const NEAR_QUARTERS = 3;
/** Silence in quarters that breaks a chain of notes. */
const SILENCE_QUARTERS = 1;
/** Notes that make a short chain of steps, a long one, a winding line, a broken chord, a leaping line. */
const CHAIN = { scale: 4, longScale: 5, winding: 5, arpeggio: 3, leaping: 4 } as const;

/** One part's notes from beginning to end. */
interface Line {
  readonly notes: readonly Note[];
  readonly chains: NoteChains;
  readonly quarter: number;
}

/** Clues of the notes from one index up to another, in so many quarters. */
function spanClues(
  { notes, chains, quarter }: Line,
  [from, to]: readonly [number, number],
  quarters: number,
) {
  let [strokes, written, moves, repeats, steps, leaps, returns, turns, last] = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  let [low, high, longestScale, longestArpeggio] = [Infinity, -Infinity, 0, 0];
  const inChain = { scale: 0, longScale: 0, winding: 0, arpeggio: 0, leaping: 0 };
  const lengths = new Map<number, number>();
  const pitches = new Set<number>();
  for (let i = from; i < to; i++) {
    const note = notes[i]!;
    const own = strokeCount(note, quarter);
    strokes += own;
    repeats += own - 1;
    written += note.durationTicks / quarter;
    pitches.add(note.soundingPitch);
    low = Math.min(low, note.soundingPitch);
    high = Math.max(high, note.soundingPitch);
    const length = Math.round(note.durationTicks / own / quarter * 24);
    lengths.set(length, (lengths.get(length) ?? 0) + 1);
    longestScale = Math.max(longestScale, chains.scale[i]!);
    longestArpeggio = Math.max(longestArpeggio, chains.arpeggio[i]!);
    if (chains.scale[i]! >= CHAIN.scale) inChain.scale++;
    if (chains.scale[i]! >= CHAIN.longScale) inChain.longScale++;
    if (chains.winding[i]! >= CHAIN.winding) inChain.winding++;
    if (chains.arpeggio[i]! >= CHAIN.arpeggio) inChain.arpeggio++;
    if (chains.leaping[i]! >= CHAIN.leaping) inChain.leaping++;
    const before = i > from ? notes[i - 1]! : undefined;
    if (!before || note.onsetTicks - before.onsetTicks - before.durationTicks > SILENCE_QUARTERS * quarter) {
      continue;
    }
    const interval = note.soundingPitch - before.soundingPitch;
    if (interval === 0) {
      repeats++;
      continue;
    }
    moves++;
    if (Math.abs(interval) <= 2) steps++;
    else leaps++;
    if (interval * last < 0) turns++;
    if (i > from + 1 && notes[i - 2]!.soundingPitch === note.soundingPitch) returns++;
    last = interval;
  }
  const count = Math.max(1, to - from);
  const moved = Math.max(1, moves);
  const shown = notes.slice(from, to);
  return [
    steps / moved,
    leaps / moved,
    repeats / Math.max(1, repeats + moves),
    returns / moved,
    turns / moved,
    inChain.scale / count,
    inChain.longScale / count,
    inChain.winding / count,
    inChain.arpeggio / count,
    inChain.leaping / count,
    Math.log2(1 + longestScale),
    Math.log2(1 + longestArpeggio),
    chordOf(pitchClassesOf(shown)) ? 1 : 0,
    Math.log2(1 + pitches.size),
    pitches.size <= 1 ? 1 : 0,
    high >= low ? Math.min(3, (high - low) / 12) : 0,
    Math.max(0, ...lengths.values()) / count,
    Math.log2(Math.max(0.25, strokes / Math.max(0.25, written))),
    Math.log2(0.25 + strokes / quarters),
    Math.min(1, written / quarters),
    to === from ? 1 : 0,
  ];
}

/**
 * Clues of shape of every bar and part.
 *
 * @param score the score
 * @param features features of the same score
 * @returns one row of {@linkcode SHAPE_CLUES} per bar and part, by bar, then part
 */
export function shapeCluesOf(
  score: Score,
  features: readonly CellFeatures[],
): readonly (readonly number[])[] {
  const parts = score.parts.length;
  const quarter = score.ticksPerQuarter;
  const rows = new Array<readonly number[]>(features.length);
  for (let part = 0; part < parts; part++) {
    const notes: Note[] = [];
    // Index of the first note of each bar, and one beyond the last.
    const starts = score.bars.map((_, bar) => {
      const start = notes.length;
      notes.push(...features[bar * parts + part]!.line);
      return start;
    });
    starts.push(notes.length);
    const line: Line = { notes, chains: noteChains(notes, SILENCE_QUARTERS * quarter), quarter };
    score.bars.forEach((_, bar) => {
      const { barQuarters } = features[bar * parts + part]!;
      const around = Math.max(1, Math.round(NEAR_QUARTERS / barQuarters));
      const from = starts[Math.max(0, bar - around)]!;
      const to = starts[Math.min(score.bars.length, bar + around + 1)]!;
      rows[bar * parts + part] = [
        ...spanClues(line, [starts[bar]!, starts[bar + 1]!], barQuarters),
        ...spanClues(line, [from, to], barQuarters * (2 * around + 1)),
        barQuarters < 3 ? 1 : 0,
      ];
    });
  }
  return rows;
}
