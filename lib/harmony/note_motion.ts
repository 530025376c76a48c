/** How each note is reached and left in its part. */
import { soundingNotes } from "../score/build.ts";
import type { Note, Score } from "../score/model.ts";
import { barIndexOf, beatTicks, isCompound } from "../score/time.ts";

/** How a note is reached and left. */
export interface Motion {
  /** Note of the same part that ends where this one begins, the nearest in pitch. */
  readonly before: Note | undefined;
  /** Note of the same part that begins where this one ends, the nearest in pitch. */
  readonly after: Note | undefined;
  /** Short, reached and left by step, on a weaker place than what follows: it seldom belongs to the chord. */
  readonly isPassing: boolean;
}

/** Semitones of a step, at most. */
const STEP = 2;

/** Whether two notes are a step apart. */
export function isStep(a: Note | undefined, b: Note | undefined): boolean {
  if (a === undefined || b === undefined) return false;
  const semitones = Math.abs(Math.round(a.soundingPitch) - Math.round(b.soundingPitch));
  return semitones >= 1 && semitones <= STEP;
}

/** The motions of all notes that sound at a pitch. */
export function noteMotions(score: Score): ReadonlyMap<Note, Motion> {
  const strength = strengthIn(score);
  const motions = new Map<Note, Motion>();
  const pitched = soundingNotes(score).filter((note) => !note.unpitched);
  for (const notes of Map.groupBy(pitched, (note) => note.part).values()) {
    const beginning = Map.groupBy(notes, (note) => note.onsetTicks);
    const ending = Map.groupBy(notes, (note) => note.onsetTicks + note.durationTicks);
    for (const note of notes) {
      const before = nearest(ending.get(note.onsetTicks), note);
      const after = nearest(beginning.get(note.onsetTicks + note.durationTicks), note);
      const place = strength(note.onsetTicks);
      const next = after === undefined ? place : strength(after.onsetTicks);
      const isPassing = note.durationTicks <= place.beatTicks && place.level > 0 && isStep(before, note) &&
        isStep(note, after) && (next.level < place.level || place.level >= 3);
      motions.set(note, { before, after, isPassing });
    }
  }
  return motions;
}

function nearest(notes: readonly Note[] | undefined, to: Note): Note | undefined {
  let best: Note | undefined;
  for (const note of notes ?? []) {
    const further = best !== undefined &&
      Math.abs(best.soundingPitch - to.soundingPitch) <= Math.abs(note.soundingPitch - to.soundingPitch);
    if (!further) best = note;
  }
  return best;
}

/** How heavy a place is: 0 the bar line, 1 half the bar, 2 a beat, 3 half a beat, 4 elsewhere; and how long the beat is. */
interface Strength {
  readonly level: number;
  readonly beatTicks: number;
}

/** The places of a score, each worked out once. */
function strengthIn(score: Score): (ticks: number) => Strength {
  const known = new Map<number, Strength>();
  return (ticks) => {
    let place = known.get(ticks);
    if (place === undefined) known.set(ticks, place = strengthAt(score, ticks));
    return place;
  };
}

function strengthAt(score: Score, ticks: number): Strength {
  const bar = score.bars[barIndexOf(score, ticks)];
  if (bar === undefined) return { level: 4, beatTicks: score.ticksPerQuarter };
  const beat = beatTicks(bar, score.ticksPerQuarter);
  const at = ticks - bar.startTicks;
  const levels = [
    at === 0,
    at * 2 === bar.durationTicks && bar.durationTicks % (2 * beat) === 0,
    at % beat === 0,
    at % (beat / (isCompound(bar) ? 3 : 2)) === 0,
    true,
  ];
  return { level: levels.indexOf(true), beatTicks: beat };
}
