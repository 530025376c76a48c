/** How each note is reached and left in its part. */
import type { Note, Score } from "../score/model.ts";
import { barIndexOf, beatTicks, isCompound } from "../score/time.ts";

/** How a note is reached and left. */
export interface Motion {
  /** Note of the same part that ends where this one begins, the nearest in pitch. */
  readonly before: Note | undefined;
  /** Note of the same part that begins where this one ends, the nearest in pitch. */
  readonly after: Note | undefined;
  /** What it looks like, of which it seldom belongs to the chord. */
  readonly looks: Look;
}

/**
 * `passing`: short, reached and left by step, on a weaker place than what follows. `neighbour`: the same, back to where it
 * came from. `suspension`: struck again on a stronger place than that to which it falls by step. `plain`: anything else.
 */
export type Look = "passing" | "neighbour" | "suspension" | "plain";

/** Motions by index of the note in its score; none for what sounds at no pitch. */
export type Motions = readonly (Motion | undefined)[];

/** Semitones of a step, at most. */
const STEP = 2;

/** Whether two notes are a step apart. */
export function isStep(a: Note | undefined, b: Note | undefined): boolean {
  if (a === undefined || b === undefined) return false;
  const semitones = Math.abs(Math.round(a.soundingPitch) - Math.round(b.soundingPitch));
  return semitones >= 1 && semitones <= STEP;
}

/** The motions of all notes that sound at a pitch. */
export function noteMotions(score: Score): Motions {
  const strength = strengthIn(score);
  const motions: (Motion | undefined)[] = score.notes.map(() => undefined);
  const lines: number[][] = score.parts.map(() => []);
  score.notes.forEach((note, i) => {
    if (!note.unpitched && !note.cue && !note.grace && note.durationTicks > 0) lines[note.part]?.push(i);
  });
  for (const line of lines) {
    const beginning = inOrder(line, (i) => score.notes[i]!.onsetTicks);
    const ending = inOrder(line, (i) => endOf(score.notes[i]!));
    for (const i of line) {
      const note = score.notes[i]!;
      const before = nearest(score.notes, ending, { note, ticks: note.onsetTicks });
      const after = nearest(score.notes, beginning, { note, ticks: endOf(note) });
      const place = strength(note.onsetTicks);
      const next = after === undefined ? place : strength(after.onsetTicks);
      motions[i] = { before, after, looks: lookOf(note, { before, after, place, next }) };
    }
  }
  return motions;
}

function endOf(note: Note): number {
  return note.onsetTicks + note.durationTicks;
}

/** Whether two notes are at one pitch, rounded to a semitone. */
export function isSamePitch(a: Note | undefined, b: Note | undefined): boolean {
  return a !== undefined && b !== undefined && Math.round(a.soundingPitch) === Math.round(b.soundingPitch);
}

function lookOf(
  note: Note,
  { before, after, place, next }: Omit<Motion, "looks"> & {
    readonly place: Strength;
    readonly next: Strength;
  },
): Look {
  if (!isStep(note, after)) return "plain";
  const isShort = note.durationTicks <= place.beatTicks && place.level > 0 &&
    (next.level < place.level || place.level >= 3);
  if (isShort && isStep(before, note)) return isSamePitch(before, after) ? "neighbour" : "passing";
  const falls = isSamePitch(before, note) && after!.soundingPitch < note.soundingPitch;
  return falls && place.level < next.level ? "suspension" : "plain";
}

/** Notes of a part in order of a time, with that time. */
interface Ordered {
  readonly notes: readonly number[];
  readonly ticks: readonly number[];
}

function inOrder(line: readonly number[], ticksOf: (note: number) => number): Ordered {
  const notes = line.toSorted((a, b) => ticksOf(a) - ticksOf(b) || a - b);
  return { notes, ticks: notes.map(ticksOf) };
}

/** Of the notes at a time that which is nearest to another in pitch; the first of equals. */
function nearest(
  notes: readonly Note[],
  ordered: Ordered,
  { note, ticks }: { readonly note: Note; readonly ticks: number },
): Note | undefined {
  let best: Note | undefined;
  let least = Infinity;
  for (let i = firstAt(ordered.ticks, ticks); ordered.ticks[i] === ticks; i++) {
    const other = notes[ordered.notes[i]!]!;
    const apart = Math.abs(other.soundingPitch - note.soundingPitch);
    if (apart < least) [best, least] = [other, apart];
  }
  return best;
}

/** The first place of a list in order at which it is at least a value. */
function firstAt(ordered: readonly number[], value: number): number {
  let [low, high] = [0, ordered.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (ordered[middle]! < value) low = middle + 1;
    else high = middle;
  }
  return low;
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
