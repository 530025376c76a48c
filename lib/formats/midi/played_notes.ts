/** What is played when a part is played: tremolos, trills and grace notes written out, lengths as articulated. */
import { modulo, pitchClassOf } from "../../base/modulo.ts";
import type { Note, Score } from "../../score/model.ts";
import { type Chord, linesOf } from "../../score/lines_of.ts";
import { barIndexOf, clockOf } from "../../score/time.ts";
import { strokeTicks, tremoloSlashesFor } from "../../score/tremolo.ts";

/** One stroke. */
export interface PlayedNote {
  /** Start in ticks of the score; may be a fraction. */
  readonly onsetTicks: number;
  /** Length in ticks; may be a fraction. */
  readonly durationTicks: number;
  readonly soundingPitch: number;
  readonly note: Note;
}

/** How notes are played. */
interface PlayingOptions {
  /** Lengths as the articulation asks; otherwise as written. */
  readonly articulate: boolean;
  /** Slashed notes as strokes. */
  readonly tremolos: boolean;
  /** Trills as alternating notes. */
  readonly trills: boolean;
}

/** Share of the written length a note sounds; model assumption. The shortest that applies is taken. */
const LENGTHS: Partial<Readonly<Record<Note["articulations"][number], number>>> = {
  staccatissimo: 0.35,
  staccato: 0.5,
  spiccato: 0.5,
  portato: 0.8,
  marcato: 0.85,
  breath: 0.85,
};
/** Share of a note without signs, so that repeated notes are heard apart; model assumption. */
const DETACHED = 0.95;
/** Length of a grace note and of one note of a trill, in quarters: a 32nd; model assumption. */
const SHORT_QUARTERS = 1 / 8;

/** Semitones of the scale of C major. */
const MAJOR = [0, 2, 4, 5, 7, 9, 11];

/** The next note of the key above a pitch. */
function upperNeighbour(pitch: number, keyFifths: number): number {
  const tonic = modulo(keyFifths * 7, 12);
  for (const step of [1, 2]) {
    if (MAJOR.includes(pitchClassOf(pitch + step - tonic))) return pitch + step;
  }
  return pitch + 2;
}

/** Share of its length a note sounds, given what follows it in its voice. */
function lengthShare(note: Note, next: Note | undefined): number {
  const shares = note.articulations.map((a) => LENGTHS[a]).filter((s) => s !== undefined);
  if (shares.length > 0) return Math.min(...shares);
  const joined = next !== undefined && next.slurred &&
    next.onsetTicks === note.onsetTicks + note.durationTicks;
  return joined || note.articulations.includes("tenuto") ? 1 : DETACHED;
}

/** Strokes of a tremolo that alternates two chords. */
function alternating(a: Chord, b: Chord, ticksPerQuarter: number): PlayedNote[] {
  const first = a[0]!;
  const both = { ...first, durationTicks: first.durationTicks * 2 };
  const count = Math.max(2, Math.round(both.durationTicks / strokeTicks(both, ticksPerQuarter)));
  const durationTicks = both.durationTicks / count;
  return Array.from({ length: count }, (_, k) => {
    const onsetTicks = first.onsetTicks + k * both.durationTicks / count;
    return (k % 2 === 0 ? a : b).map((note) => played(note, onsetTicks, durationTicks));
  }).flat();
}

function played(note: Note, onsetTicks: number, durationTicks: number): PlayedNote {
  return { onsetTicks, durationTicks, soundingPitch: note.soundingPitch, note };
}

/** Plays notes of one part, in score order: their strokes in no special order. */
export function playedNotes(
  score: Score,
  options: PlayingOptions & { readonly notes: readonly Note[] },
): readonly PlayedNote[] {
  const isGrace = (n: Note) => n.grace || n.durationTicks <= 0;
  const graces = options.notes.filter(isGrace);
  const lines = linesOf(graces.length > 0 ? options.notes.filter((n) => !isGrace(n)) : options.notes);
  const strokes = gracesPlayed(graces, score.ticksPerQuarter);
  for (const line of lines) addLine(strokes, line, { ...options, score });
  return strokes;
}

/** Grace notes come before the beat; at the very start they share its time. */
function gracesPlayed(graces: readonly Note[], ticksPerQuarter: number): PlayedNote[] {
  const usual = SHORT_QUARTERS * ticksPerQuarter;
  return [...Map.groupBy(graces, (n) => n.onsetTicks)].flatMap(([onsetTicks, group]) => {
    const isAtStart = onsetTicks <= 0;
    const length = isAtStart ? usual : Math.min(usual, onsetTicks / group.length);
    const start = isAtStart ? 0 : onsetTicks - group.length * length;
    return group.map((note, i) => played(note, start + i * length, length));
  });
}

function addLine(
  strokes: PlayedNote[],
  line: readonly Chord[],
  options: PlayingOptions & { readonly score: Score },
): void {
  const { score, tremolos } = options;
  for (let i = 0; i < line.length; i++) {
    const [chord, next] = [line[i]!, line[i + 1]];
    const { onsetTicks, durationTicks } = chord[0]!;
    const isPair = tremolos && next !== undefined &&
      chord.some((n) => n.tremoloAlternates && n.tremoloSlashes > 0) &&
      next[0]!.onsetTicks === onsetTicks + durationTicks && next[0]!.durationTicks === durationTicks;
    if (isPair) {
      strokes.push(...alternating(chord, next, score.ticksPerQuarter));
      i++;
    } else for (const note of chord) strokes.push(...strokesOf(note, next?.[0], score, options));
  }
}

/** An unmeasured tremolo is played quickly at any tempo, however many slashes it has. */
function asQuickAsItComes(note: Note, score: Score): Note {
  if (note.tremolo !== "unmeasured") return note;
  const enough = tremoloSlashesFor(note, { ticksPerQuarter: score.ticksPerQuarter, clock: clockOf(score) });
  return { ...note, tremoloSlashes: Math.max(note.tremoloSlashes, enough) };
}

/** Strokes of one note that does not alternate with another. */
function strokesOf(note: Note, next: Note | undefined, score: Score, options: PlayingOptions): PlayedNote[] {
  const { onsetTicks, durationTicks, soundingPitch } = note;
  const split = (count: number, pitchOf: (k: number) => number): PlayedNote[] =>
    Array.from({ length: count }, (_, k) => ({
      onsetTicks: onsetTicks + k * durationTicks / count,
      durationTicks: durationTicks / count,
      soundingPitch: pitchOf(k),
      note,
    }));
  if (options.tremolos && note.tremoloSlashes > 0) {
    const stroke = strokeTicks(asQuickAsItComes(note, score), score.ticksPerQuarter);
    return split(Math.max(1, Math.round(durationTicks / stroke)), () => soundingPitch);
  }
  if (options.trills && note.trill && !note.unpitched) {
    const key = score.bars[barIndexOf(score, onsetTicks)]?.keyFifths ?? 0;
    const upper = upperNeighbour(soundingPitch, key);
    const count = Math.max(1, Math.round(durationTicks / (SHORT_QUARTERS * score.ticksPerQuarter)));
    return split(count, (k) => (k % 2 === 0 ? soundingPitch : upper));
  }
  const share = options.articulate ? lengthShare(note, next) : 1;
  return [{ onsetTicks, durationTicks: durationTicks * share, soundingPitch, note }];
}
