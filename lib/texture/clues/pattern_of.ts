/** Figures whose tones keep to a pattern, told by the notes of a bar alone. */
import type { CellFeatures } from "../features/features.ts";
import type { Figure, FigureId } from "../figures.ts";
import { FIGURES } from "../figures.ts";

/** Places that differ by less than this are the same, in quarters. */
const SAME = 1 / 48;

/** Least share of a bar's notes in whole cells of a pattern that names them. Model assumption. */
const WHOLE_FROM = 0.5;

/** A note of a bar: place in quarters from the bar line, and pitch. */
interface PlacedPitch {
  readonly at: number;
  readonly pitch: number;
}

/** Figures that are told by their pattern. */
const PATTERNED = FIGURES.filter((f) => Array.isArray(f.tones));

/** Whether a note lies to each of those of its cell before it as its step does to theirs: higher, lower, or on one pitch. */
function liesAs(
  notes: readonly PlacedPitch[],
  tones: readonly number[],
  { first, at }: { readonly first: number; readonly at: number },
): boolean {
  const { pitch } = notes[first + at]!;
  const step = tones[at % tones.length]!;
  for (let j = 0; j < at; j++) {
    if (Math.sign(pitch - notes[first + j]!.pitch) !== Math.sign(step - tones[j % tones.length]!)) {
      return false;
    }
  }
  return true;
}

/** Semitones from the lowest note to the highest. */
function compassOf(notes: readonly PlacedPitch[]): number {
  const pitches = notes.map((n) => n.pitch);
  return Math.max(...pitches) - Math.min(...pitches);
}

/**
 * How many notes of a bar lie in whole cells of a pattern, laid end to end from the bar line or begun anew on a quarter,
 * as a change of harmony has it; undefined where some note is in none.
 */
function inWholeCells(
  notes: readonly PlacedPitch[],
  { strokes, cellQuarters, tones, isCell }: {
    readonly strokes: Figure["strokes"];
    readonly cellQuarters: number;
    /** Tones of the strokes, taken again from the first where there are fewer. */
    readonly tones: readonly number[];
    readonly isCell: (cell: readonly PlacedPitch[]) => boolean;
  },
): number | undefined {
  let whole = 0, first = 0;
  while (first < notes.length) {
    const from = notes[first]!.at - strokes[0]!.at;
    let count = 0;
    while (
      count < strokes.length && first + count < notes.length &&
      Math.abs(notes[first + count]!.at - from - strokes[count]!.at) < SAME
    ) count++;
    let length = 0;
    while (length < count && liesAs(notes, tones, { first, at: length })) length++;
    if (length === 0) return undefined;
    const next = notes[first + length];
    const isWhole = length === strokes.length && isCell(notes.slice(first, first + length));
    const goesOn = next === undefined || Math.abs(next.at - Math.round(next.at * 2) / 2) < SAME;
    if (!goesOn || next !== undefined && isWhole && next.at < from + cellQuarters - SAME) {
      return undefined;
    }
    if (isWhole) whole += length;
    first += length;
  }
  return whole;
}

/** Semitones above its lowest tone at which an ostinato of the table has its others. */
const OSTINATO_AT = [7, 14] as const;

/** Semitones that a wide broken chord spans at least. */
const WIDE_FROM = 12;

/** What else a cell of a figure must be: an ostinato goes by fifths, the wide chord over an octave, the other under it. */
function cellTest(id: string): (cell: readonly PlacedPitch[]) => boolean {
  const isOstinato = (cell: readonly PlacedPitch[]) => {
    const low = Math.min(...cell.map((n) => n.pitch));
    return cell.every(({ pitch }) => pitch === low || OSTINATO_AT.some((up) => pitch === low + up));
  };
  if (id.startsWith("ostinato")) return isOstinato;
  if (id.startsWith("wide")) return (cell) => compassOf(cell) >= WIDE_FROM && !isOstinato(cell);
  return () => true;
}

/** Whether a bar's notes are a figure's strokes on its pattern of tones. */
export function hasPattern(
  features: CellFeatures,
  figure: PatternedFigure,
  ticksPerQuarter: number,
): boolean {
  return keepsTo(figure, placedPitches(features, ticksPerQuarter), features.barQuarters);
}

type PatternedFigure = Pick<Figure, "id" | "strokes" | "cellQuarters" | "tones">;

function placedPitches({ line, felt }: CellFeatures, ticksPerQuarter: number): readonly PlacedPitch[] {
  return line.map((n) => ({
    at: (n.onsetTicks - felt.startTicks) / ticksPerQuarter,
    pitch: n.soundingPitch,
  }));
}

/** Whether the notes of a bar that lasts so many quarters are a figure's strokes on its pattern of tones. */
function keepsTo(figure: PatternedFigure, notes: readonly PlacedPitch[], barQuarters: number): boolean {
  const { cellQuarters, tones } = figure;
  // Of a cell that is longer than the bar the bar line leaves the beginning.
  const isCut = cellQuarters > barQuarters;
  const strokes = isCut ? figure.strokes.filter((s) => s.at < barQuarters - SAME) : figure.strokes;
  if (typeof tones === "string" || tones === undefined || notes.length < strokes.length) return false;
  const whole = inWholeCells(notes, { strokes, cellQuarters, tones, isCell: cellTest(figure.id) });
  return whole !== undefined && whole >= WHOLE_FROM * notes.length;
}

/**
 * Notes a chain in one direction has at least in a wave, semitones it spans, and semitones from note to note on average: a
 * chain through a seventh chord, whose tones lie a step apart once in an octave, has three and a little less, a scale two.
 */
const WAVE = { notes: 5, semitones: 13, apart: 2.75 } as const;

/** Notes from which a bar of a wave has a whole chain of its own. */
const LONG_BAR = 10;

/** Share of a shorter bar's notes that are in the chain, and one more: a wave turns but once there. */
const IN_CHAIN = 1 / 2;

/** Whether notes go up or down a chord over more than an octave without turning. */
function isWave({ line, nearby }: CellFeatures): boolean {
  const notes = line.length >= LONG_BAR ? line : nearby;
  const needed = line.length >= LONG_BAR ? 0 : Math.min(WAVE.notes, IN_CHAIN * line.length + 1);
  let first = 0;
  for (let i = 1; i <= notes.length; i++) {
    const move = i < notes.length ? notes[i]!.soundingPitch - notes[i - 1]!.soundingPitch : 0;
    const before = i - 1 > first ? notes[i - 1]!.soundingPitch - notes[i - 2]!.soundingPitch : move;
    if (i < notes.length && move * before > 0) continue;
    const span = Math.abs(notes[i - 1]!.soundingPitch - notes[first]!.soundingPitch);
    const count = i - first;
    // Of steps it would be a scale.
    const isLong = count >= WAVE.notes && span >= WAVE.semitones && span / (count - 1) >= WAVE.apart;
    if (isLong && notes.slice(first, i).filter((n) => line.includes(n)).length >= needed) return true;
    first = Math.max(first + 1, i - 1);
  }
  return false;
}

/** Waves by their strokes to a quarter. */
const WAVES: ReadonlyMap<number, FigureId> = new Map([
  [2, "wave in eighths"],
  [3, "wave in triplets"],
  [4, "wave in sixteenths"],
]);

/**
 * The figure of the table whose pattern of tones the notes of a bar keep to.
 *
 * @param features what the part's notes look like
 * @param ticksPerQuarter grid of the score
 * @returns its name, or undefined
 */
export function patternOf(features: CellFeatures, ticksPerQuarter: number): FigureId | undefined {
  const { line } = features;
  if (line.length < 3) return undefined;
  const notes = placedPitches(features, ticksPerQuarter);
  const found = PATTERNED.find((f) => keepsTo(f, notes, features.barQuarters));
  if (found) return found.id;
  const length = line[1]!.onsetTicks - line[0]!.onsetTicks;
  const isEven = line.every((n, i) => i === 0 || n.onsetTicks - line[i - 1]!.onsetTicks === length);
  return isEven && isWave(features) ? WAVES.get(Math.round(ticksPerQuarter / length)) : undefined;
}
