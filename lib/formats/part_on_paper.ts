/** What a written part needs to know before its bars are written: instrument, transposition, staves, clefs, keys. */
import { type Instrument, instrumentById } from "../instruments/catalogue.ts";
import type { Note, Part, Score } from "../score/model.ts";
import { fifthsOfInterval } from "../score/spelling.ts";

/** Clef on a stave. */
export interface Clef {
  /** Letter, or `percussion`. */
  readonly sign: string;
  /** Line it stands on, from the bottom; undefined for percussion. */
  readonly line: number | undefined;
}

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
  /** Clef of each stave. */
  readonly clefs: readonly Clef[];
  /** Sharps (or, negative, flats) the written key has more than the sounding key. */
  readonly keyShift: number;
}

const CLEFS: Readonly<Record<string, Clef & { readonly middleLine: number }>> = {
  // Pitch of the middle line.
  "G": { sign: "G", line: 2, middleLine: 71 },
  "F": { sign: "F", line: 4, middleLine: 50 },
  "C3": { sign: "C", line: 3, middleLine: 60 },
  "C4": { sign: "C", line: 4, middleLine: 57 },
  "percussion": { sign: "percussion", line: undefined, middleLine: 71 },
};

/** Semitones from the middle line to about one ledger line outside the stave. */
const COMFORT_SEMITONES = 10;
/** How far outside a first clef notes must lie, on average, before another of the instrument's clefs is taken. Model assumption. */
const CHANGE_SEMITONES = 2;

/** The clef with the fewest ledger lines; the instrument's first clef is preferred. */
function bestClef(names: readonly string[], writtenPitches: readonly number[]): Clef {
  const known = names.map((n) => CLEFS[n]).filter((c) => c !== undefined);
  const cost = (middle: number): number => {
    let sum = 0;
    for (const pitch of writtenPitches) sum += Math.max(0, Math.abs(pitch - middle) - COMFORT_SEMITONES);
    return sum / Math.max(1, writtenPitches.length);
  };
  let best = known[0] ?? CLEFS["G"]!;
  for (const clef of known) {
    if (cost(clef.middleLine) < cost(best.middleLine) - CHANGE_SEMITONES) best = clef;
  }
  return { sign: best.sign, line: best.line };
}

/** The catalogue's entry, or undefined: a score may come from elsewhere and name what it likes. */
function instrumentOf(id: string): Instrument | undefined {
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

/** Notes on their staves: those of a keyboard or harp that name no second stave are divided at middle C. */
function onStaves(notes: readonly Note[], part: Part): readonly Note[] {
  if (notes.some((n) => n.staff > 1)) return notes;
  return notes.map((n) => ({
    ...n,
    staff: n.soundingPitch - part.transposeSemitones < DIVIDING_PITCH ? 2 : 1,
  }));
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
    const notes = staves > 1 ? onStaves(found, part) : found;
    const pitched = notes.filter((n) => !n.unpitched);
    const fallback = pitched.length > 0 && pitched.reduce((sum, n) =>
              sum + written(n), 0) / pitched.length < 57
      ? ["F"]
      : ["G"];
    const names = unpitched ? ["percussion"] : instrument?.clefs ?? fallback;
    const clefs = staves > 1
      ? Array.from({ length: staves }, (_, i) => i + 1).map((staff) => {
        const own = pitched.filter((n) => n.staff === staff).map(written);
        const usual = staff === 1 ? ["G", "F"] : ["F", "G"];
        return bestClef(usual, own);
      })
      : [bestClef(names[0] === "percussion" && !unpitched ? ["G"] : names, pitched.map(written))];
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
