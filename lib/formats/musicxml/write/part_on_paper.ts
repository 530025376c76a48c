/** What a written part needs to know before its bars are written: instrument, transposition, staves, clefs, keys. */
import { type Instrument, instrumentById } from "../../../instruments/catalogue.ts";
import type { Note, Part, Score } from "../../../score/model.ts";
import { barIndexOf } from "../../../score/time.ts";
import { type Clef, clefPath } from "./clef_path.ts";
import { fifthsOfInterval } from "../../../score/spelling.ts";

/** A part made ready for paper. */
export interface PartOnPaper {
  /** Index in the score. */
  readonly index: number;
  /** The part. */
  readonly part: Part;
  /** Its instrument, or undefined where the catalogue has none of that id. */
  readonly instrument: Instrument | undefined;
  /** Its notes in score order, each on its stave. */
  readonly notes: readonly Note[];
  /** True where it has only sounds without definite pitch. */
  readonly unpitched: boolean;
  /** Staves. */
  readonly staves: number;
  /** Clefs of each stave, one for each bar. */
  readonly clefs: readonly (readonly Clef[])[];
  /** Sharps (or, negative, flats) the written key has more than the sounding key. */
  readonly keyShift: number;
}

/**
 * The catalogue's entry, or undefined: a score may come from elsewhere and name what it likes.
 *
 * @param id catalogue id
 * @returns the instrument, if there is one of that id
 */
export function instrumentOf(id: string): Instrument | undefined {
  try {
    return instrumentById(id);
  } catch {
    return undefined;
  }
}

/** A keyboard or harp is given two staves when it goes below the first pitch and above the second: G3 and E4. */
const [LOW_STAVE_BELOW, HIGH_STAVE_ABOVE] = [55, 64];

/** Where an instrument with two staves divides: middle C; common practice, no source. */
const DIVIDING_PITCH = 60;

/**
 * Notes on their staves, for a keyboard or harp that names no second stave: a run within one beat stays together
 * on the stave its middle asks for, notes that sound together are divided at middle C.
 */
function onStaves(notes: readonly Note[], part: Part, ticksPerQuarter: number): readonly Note[] {
  if (notes.some((n) => n.staff > 1)) return notes;
  const written = (n: Note) => n.soundingPitch - part.transposeSemitones;
  const staffFor = (pitch: number) => (pitch < DIVIDING_PITCH ? 2 : 1);
  const beats = new Map<number, Note[]>();
  for (const note of notes) {
    const beat = Math.floor(note.onsetTicks / ticksPerQuarter);
    const group = beats.get(beat);
    if (group) group.push(note);
    else beats.set(beat, [note]);
  }
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

/**
 * Makes every part ready for paper.
 *
 * @param score the score
 * @returns one record for each part
 */
export function partsOnPaper(score: Score): readonly PartOnPaper[] {
  const notesOf: Note[][] = score.parts.map(() => []);
  for (const note of score.notes) notesOf[note.part]?.push(note);
  return score.parts.map((part, index) => {
    const found = notesOf[index]!;
    const instrument = instrumentOf(part.instrument);
    const pitchedFound = found.filter((n) => !n.unpitched);
    const unpitched = found.length > 0 ? pitchedFound.length === 0 : instrument?.unpitched ?? false;
    const written = (n: Note) => n.soundingPitch - part.transposeSemitones;
    const grand = instrument !== undefined && instrument.clefs.includes("G") &&
      instrument.clefs.includes("F") &&
      ["keyboard", "plucked", "percussion"].includes(instrument.family);
    const both = pitchedFound.some((n) => written(n) < LOW_STAVE_BELOW) &&
      pitchedFound.some((n) => written(n) > HIGH_STAVE_ABOVE);
    const staves = found.reduce((most, n) => Math.max(most, n.staff), grand && both ? 2 : 1);
    const notes = staves > 1 ? onStaves(found, part, score.ticksPerQuarter) : found;
    const pitched = notes.filter((n) => !n.unpitched);
    const fallback = pitched.length > 0 && pitched.reduce((sum, n) =>
              sum + written(n), 0) / pitched.length < 57
      ? ["F"]
      : ["G"];
    const names = unpitched ? ["percussion"] : instrument?.clefs ?? fallback;
    const clefs = Array.from({ length: staves }, (_, i) => {
      const usual = staves === 1 ? names : i === 0 ? ["G", "F"] : ["F", "G"];
      const bars: number[][] = score.bars.map(() => []);
      for (const note of pitched) {
        if (note.staff === i + 1) bars[barIndexOf(score, note.onsetTicks)]?.push(written(note));
      }
      return clefPath(usual[0] === "percussion" && !unpitched ? ["G"] : usual, bars);
    });
    const up = { semitones: -part.transposeSemitones, steps: -part.transposeSteps };
    return { index, part, instrument, notes, unpitched, staves, clefs, keyShift: fifthsOfInterval(up) };
  });
}

/**
 * Key signature a part reads. Beyond seven sharps or flats the enharmonic key is taken.
 *
 * @param paper the part
 * @param concertFifths key at concert pitch
 * @returns the signature, and the enharmonic change it took: 1 towards sharps, -1 towards flats, 0 none
 */
export function writtenKey(
  paper: PartOnPaper,
  concertFifths: number,
): { readonly fifths: number; readonly enharmonic: 1 | -1 | 0 } {
  const fifths = concertFifths + paper.keyShift;
  if (fifths > 7) return { fifths: fifths - 12, enharmonic: -1 };
  if (fifths < -7) return { fifths: fifths + 12, enharmonic: 1 };
  return { fifths, enharmonic: 0 };
}
