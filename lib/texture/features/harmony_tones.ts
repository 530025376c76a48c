/** The harmony a part's own notes spell. */
import { memo } from "../../base/memo.ts";
import { pitchClassOf } from "../../base/modulo.ts";
import { CHORD_TYPES } from "../../score/chord_types.ts";
import type { Note } from "../../score/model.ts";

/** All chords: twelve roots of every kind, triads first. */
const CHORDS = CHORD_TYPES.flatMap(({ quality: kind, semitones }) =>
  Array.from(
    { length: 12 },
    (_, root) => ({ root, kind, tones: inOne(semitones.map((t) => (root + t) % 12)) }),
  )
);

/** Pitch classes as one number, a bit for each. */
function inOne(pitchClasses: readonly number[]): number {
  return pitchClasses.reduce((all, p) => all | 1 << p, 0);
}

/** A chord by its root and kind. */
export interface ChordTones {
  /** Pitch class of the root, 0 for C. */
  readonly root: number;
  /** Kind of chord, such as `minor seventh`. */
  readonly kind: string;
}

/**
 * Pitch classes of some notes, each once, as they come; notes without pitch left out.
 *
 * @param notes the notes
 * @returns numbers from 0 for C to 11
 */
export function pitchClassesOf(notes: readonly Note[]): readonly number[] {
  return [
    ...new Set(notes.filter((n) => !n.unpitched).map((n) => pitchClassOf(n.soundingPitch))),
  ];
}

/** Chords by what they are found for; there are 4096 choices of twelve pitch classes. */
const chords = memo<ChordTones | undefined, number>(2 * 4096);

/**
 * The chord that three or more different pitch classes spell, if they all belong to one; a triad before a seventh
 * chord that lacks a tone.
 *
 * @param pitchClasses numbers from 0 for C to 11
 * @returns the chord, or undefined
 */
export function chordOf(pitchClasses: readonly number[]): ChordTones | undefined {
  if (pitchClasses.length < 3) return undefined;
  const own = inOne(pitchClasses);
  return chords(own, () => {
    const found = CHORDS.find(({ tones }) => (own & ~tones) === 0);
    return found && { root: found.root, kind: found.kind };
  });
}
