/** What a written part needs to know before its bars are written: instrument, transposition, staves, clefs, keys. */
import { firstIndex } from "../../../base/first_index.ts";
import type { Instrument } from "../../../instruments/catalogue.ts";
import { instrumentOf } from "../../../instruments/instrument_of.ts";
import type { Note, Part, Score, WrittenClef, WrittenKey } from "../../../score/model.ts";
import { barIndexOf, beatTicks, countedFrom, isCompound } from "../../../score/time.ts";
import { clefPath } from "./clef_path.ts";
import { fifthsOfInterval, type Interval, transposedKey } from "../../../score/spelling.ts";

/** A part made ready for paper. */
export interface PartOnPaper {
  readonly index: number;
  readonly part: Part;
  /** Its instrument, or undefined where the catalogue has none of that id. */
  readonly instrument: Instrument | undefined;
  /** Its notes in score order, each on its stave. */
  readonly notes: readonly Note[];
  /** True where it has only sounds without definite pitch. */
  readonly unpitched: boolean;
  readonly staves: number;
  /** Clefs where they change, in order. */
  readonly clefs: readonly WrittenClef[];
  /** Key signatures where they change, in order, as the player reads them. */
  readonly keys: readonly WrittenKey[];
}

/** A keyboard or harp is given two staves when it goes below the first pitch and above the second: G3 and E4. */
const [LOW_STAVE_BELOW, HIGH_STAVE_ABOVE] = [55, 64];

/** Where an instrument with two staves divides: middle C; common practice, no source. */
const DIVIDING_PITCH = 60;

/**
 * Notes on their staves, for a keyboard or harp that names no second stave: a run within one beat stays together
 * on the stave its middle asks for, notes that sound together are divided at middle C.
 */
function onStaves(notes: readonly Note[], part: Part, score: Score): readonly Note[] {
  if (notes.some((n) => n.staff > 1)) return notes;
  const written = (n: Note) => n.soundingPitch - part.transposeSemitones;
  const staffFor = (pitch: number) => (pitch < DIVIDING_PITCH ? 2 : 1);
  const beats = Map.groupBy(notes, (n) => beatStart(score, n.onsetTicks));
  const placed: Note[] = [];
  let soundsUntil = 0;
  for (const group of beats.values()) {
    let run = group[0]!.onsetTicks >= soundsUntil;
    for (const [i, note] of group.entries()) {
      if (i > 0 && note.onsetTicks < soundsUntil) run = false;
      soundsUntil = Math.max(soundsUntil, note.onsetTicks + note.durationTicks);
    }
    const middle = group.reduce((sum, n) => sum + written(n), 0) / group.length;
    for (const note of group) placed.push({ ...note, staff: staffFor(run ? middle : written(note)) });
  }
  return placed;
}

/** Where the beat of a note begins, counted from the bar line: a quarter, in compound metres a dotted value. */
function beatStart(score: Score, ticks: number): number {
  const barIndex = barIndexOf(score, ticks);
  const bar = score.bars[barIndex]!;
  const from = countedFrom(score, barIndex);
  const beat = isCompound(bar) ? beatTicks(bar, score.ticksPerQuarter) : score.ticksPerQuarter;
  return from + Math.floor((ticks - from) / beat) * beat;
}

/** Makes every part ready for paper. */
export function partsOnPaper(score: Score): readonly PartOnPaper[] {
  const notesOf = Map.groupBy(score.notes, (n) => n.part);
  return score.parts.map((part, index) => {
    const found = notesOf.get(index) ?? [];
    const instrument = instrumentOf(part.instrument);
    const unpitched = found.length > 0 ? found.every((n) => n.unpitched) : instrument?.unpitched ?? false;
    const staves = found.reduce((most, n) => Math.max(most, n.staff), fewestStaves(part, instrument, found));
    const notes = staves > 1 && !part.notation ? onStaves(found, part, score) : found;
    const printed = part.notation?.clefs;
    const clefs = printed?.some((c) => c.fromTicks === 0)
      ? printed
      : usualClefs(score, { part, instrument, notes, unpitched, staves });
    const up = { semitones: -part.transposeSemitones, steps: -part.transposeSteps };
    const keys = part.notation?.keys ?? (unpitched ? [] : usualKeys(score, fifthsOfInterval(up)));
    return { index, part, instrument, notes, unpitched, staves, clefs, keys };
  });
}

/** Staves of a part as printed, or else two for a keyboard or harp that goes low and high. */
function fewestStaves(part: Part, instrument: Instrument | undefined, notes: readonly Note[]): number {
  if (part.notation) return part.notation.staves;
  const isGrand = instrument !== undefined && instrument.clefs.includes("G") &&
    instrument.clefs.includes("F") && ["keyboard", "plucked", "percussion"].includes(instrument.family);
  const written = notes.filter((n) => !n.unpitched).map((n) => n.soundingPitch - part.transposeSemitones);
  const goesBoth = written.some((p) => p < LOW_STAVE_BELOW) && written.some((p) => p > HIGH_STAVE_ABOVE);
  return isGrand && goesBoth ? 2 : 1;
}

/** Mean written pitch below which a part without an instrument reads the bass clef: A3. */
const BASS_CLEF_BELOW = 57;

/** Clefs of a part whose source prints none, where they change. */
function usualClefs(score: Score, paper: Omit<PartOnPaper, "index" | "clefs" | "keys">): WrittenClef[] {
  const { part, instrument, unpitched, staves } = paper;
  const pitched = paper.notes.filter((n) => !n.unpitched && !n.cue);
  const written = (n: Note) => n.soundingPitch - part.transposeSemitones;
  const mean = pitched.reduce((sum, n) => sum + written(n), 0) / pitched.length;
  const names = unpitched ? ["percussion"] : instrument?.clefs ?? (mean < BASS_CLEF_BELOW ? ["F"] : ["G"]);
  const ofStaff = (staff: number): WrittenClef[] => {
    const usual = staves === 1 ? names : staff === 1 ? ["G", "F"] : ["F", "G"];
    const bars: number[][] = score.bars.map(() => []);
    for (const note of pitched) {
      if (note.staff === staff) bars[barIndexOf(score, note.onsetTicks)]?.push(written(note));
    }
    const ofHorn = instrument?.kind === "horn";
    const path = clefPath(usual[0] === "percussion" && !unpitched ? ["G"] : usual, bars, { ofHorn });
    return path.flatMap(({ sign, line }, bar): WrittenClef[] => {
      const before = path[bar - 1];
      if (before?.sign === sign && before.line === line) return [];
      const { startTicks: fromTicks } = score.bars[bar]!;
      return [{ fromTicks, staff, sign, ...(line === undefined ? {} : { line }) }];
    });
  };
  return Array.from({ length: staves }, (_, i) => ofStaff(i + 1)).flat()
    .sort((a, b) => a.fromTicks - b.fromTicks);
}

/** Key signatures of a part that reads so many fifths from concert pitch, where they change. */
function usualKeys(score: Score, keyShift: number): readonly WrittenKey[] {
  return score.bars.flatMap((bar, i): WrittenKey[] => {
    if (i > 0 && score.bars[i - 1]!.keyFifths === bar.keyFifths) return [];
    return [{ fromTicks: bar.startTicks, fifths: transposedKey(bar.keyFifths, keyShift) }];
  });
}

/** The last of a list in order that begins at or before a place. */
function lastFrom<T extends { readonly fromTicks: number }>(
  list: readonly T[],
  ticks: number,
): T | undefined {
  return list[firstIndex(list.length, (i) => list[i]!.fromTicks > ticks) - 1];
}

/** Key signature a part reads in a bar; 0 where none is printed. */
export function writtenKeyAt(score: Score, paper: PartOnPaper, bar: number): number {
  const { startTicks } = score.bars[bar]!;
  return lastFrom(paper.keys, startTicks)?.fifths ?? 0;
}

/** Transposition in force at a place. */
export function transpositionAt(paper: PartOnPaper, ticks: number): Interval {
  const { transposeSemitones, transposeSteps, notation } = paper.part;
  return lastFrom(notation?.transpositions ?? [], ticks) ??
    { semitones: transposeSemitones, steps: transposeSteps };
}
