/** How each note of a part is spelt on paper. */
import type { Note, Score, Spelling } from "../../../score/model.ts";
import { linesOf } from "../../../score/lines_of.ts";
import { barIndexOf } from "../../../score/time.ts";
import { enharmonic, fifthsOf, fifthsOfInterval, spell, transposeSpelling } from "../../../score/spelling.ts";
import { type PartOnPaper, transpositionAt, writtenKeyAt } from "./part_on_paper.ts";

/** Pitch each note leads to: the next one in its line that is not the same again. */
function nextPitches(notes: readonly Note[]): ReadonlyMap<Note, number> {
  const next = new Map<Note, number>();
  for (const line of linesOf(notes.filter((n) => !n.unpitched))) {
    for (let i = line.length - 2; i >= 0; i--) {
      const following = line[i + 1]!;
      for (const note of line[i]!) {
        const again = following.find((n) => n.soundingPitch === note.soundingPitch);
        const touches = note.onsetTicks + note.durationTicks >= following[0]!.onsetTicks;
        const pitch = again ? next.get(again) : touches ? following.at(-1)!.soundingPitch : undefined;
        if (pitch !== undefined) next.set(note, pitch);
      }
    }
  }
  return next;
}

/** The middle of a major key's seven notes: in C major D, two fifths above. */
const KEY_MIDDLE = 2;

/** The spelling of the same sound that lies nearest to the middle of a key, on the line of fifths. */
function nearest(spelling: Spelling, keyFifths: number): Spelling {
  const remoteness = (s: Spelling) => Math.abs(fifthsOf(s) - keyFifths - KEY_MIDDLE);
  const all = [spelling, enharmonic(spelling, 1), enharmonic(spelling, -1)];
  return all.reduce((best, other) => (remoteness(other) < remoteness(best) ? other : best));
}

/** What a spelling is told by, whatever its octave. */
const nameOf = ({ step, alter }: Spelling): string => `${step}${alter}`;

/**
 * What belongs to a major key and its relative minor, in fifths from the major tonic: from the flattened second (in E
 * flat major F flat) to the leading note of the minor (in A major E sharp). Common practice, no source.
 */
const BELONGS = { from: -5, to: 8 } as const;

/**
 * Whether there is an easier way to read a note: a double accidental, and E sharp, B sharp, F flat or C flat where
 * neither the key nor its minor has them.
 */
function isAwkward(spelling: Spelling, keyFifths: number): boolean {
  const { step, alter } = spelling;
  if (Math.abs(alter) === 2) return true;
  const isWhiteKey = alter === 1 ? "EB".includes(step) : alter === -1 ? "FC".includes(step) : false;
  const fromTonic = fifthsOf(spelling) - keyFifths;
  return isWhiteKey && (fromTonic < BELONGS.from || fromTonic > BELONGS.to);
}

/**
 * The notes of a bar as they are read at sight: an awkward one is written with the plain note of the same sound, unless
 * that letter has another accidental in the bar, so that an E sharp beside F sharp stays. Where the plain note stands in
 * the bar anyway, both are written so. Common practice, no source.
 */
function readable(bar: ReadonlyMap<Note, Spelling>, keyFifths: number): ReadonlyMap<Note, Spelling> {
  const names = new Set([...bar.values()].map(nameOf));
  const lettersOtherwise = ({ step, alter }: Spelling) =>
    [...bar.values()].some((other) => other.step === step && other.alter !== alter);
  const changed = new Map<Note, Spelling>();
  for (const [note, spelling] of bar) {
    if (!isAwkward(spelling, keyFifths)) continue;
    const plain = [enharmonic(spelling, 1), enharmonic(spelling, -1)]
      .find((s) => Math.abs(s.alter) < 2 && !isAwkward(s, keyFifths));
    if (plain && (names.has(nameOf(plain)) || !lettersOtherwise(plain))) changed.set(note, plain);
  }
  return changed;
}

/**
 * Written spelling of every pitched note of a part: the note's own, moved to the part's key, or else chosen
 * from the key signature and from where the line goes. What no page has printed yet is made easy to read.
 */
export function writtenSpellings(score: Score, paper: PartOnPaper): ReadonlyMap<Note, Spelling> {
  const { part } = paper;
  const nextOf = nextPitches(paper.notes);
  const spellings = new Map<Note, Spelling>();
  for (const note of paper.notes) {
    if (note.unpitched) continue;
    const { semitones, steps } = transpositionAt(paper, note.onsetTicks);
    const up = { semitones: -semitones, steps: -steps };
    const index = barIndexOf(score, note.onsetTicks);
    const bar = score.bars[index];
    const keyFifths = writtenKeyAt(score, paper, index);
    if (note.spelling) {
      const written = transposeSpelling(note.spelling, up);
      // A key beyond seven accidentals is read enharmonically, and its notes with it.
      const changed = keyFifths !== (bar?.keyFifths ?? 0) + fifthsOfInterval(up) && !part.notation;
      spellings.set(note, changed || Math.abs(written.alter) > 2 ? nearest(written, keyFifths) : written);
    } else {
      const nextSounding = nextOf.get(note);
      const next = nextSounding === undefined ? undefined : nextSounding - semitones;
      spellings.set(note, spell(note.soundingPitch - semitones, { keyFifths, next }));
    }
  }
  if (part.notation) return spellings;
  const bars = Map.groupBy(spellings.keys(), (note) => barIndexOf(score, note.onsetTicks));
  for (const [index, notes] of bars) {
    const bar = new Map(notes.map((note) => [note, spellings.get(note)!]));
    for (const [note, plain] of readable(bar, writtenKeyAt(score, paper, index))) spellings.set(note, plain);
  }
  return spellings;
}
