/** All chords that are told apart, numbered: root times kinds plus kind. */
import { modulo } from "../base/modulo.ts";
import { CHORD_TYPES } from "../score/chord_types.ts";

/** Kinds of chord. */
export const KINDS = CHORD_TYPES.length;
/** All chords. */
export const CHORDS = 12 * KINDS;
/** Keys: twelve major, then twelve minor. */
export const KEYS = 24;

/** Remainder by 12 that is never negative. */
export const modulo12 = (pitch: number): number => modulo(pitch, 12);
/** Root of a chord, 0 to 11. */
export const rootOf = (chord: number): number => Math.floor(chord / KINDS);
/** Kind of a chord, an index into the list of chord types. */
export const kindOf = (chord: number): number => chord % KINDS;
/** A chord by root and kind. */
export const chordAt = (root: number, kind: number): number => modulo12(root) * KINDS + kind;
/** 0 for a major key, 1 for a minor one. */
export const modeOf = (key: number): 0 | 1 => key < 12 ? 0 : 1;

/** Every chord in every key, looked up rather than reckoned: it is asked for millions of times. */
const IN_KEY = Uint8Array.from({ length: KEYS * CHORDS }, (_, i) => {
  const chord = i % CHORDS;
  return chordAt(rootOf(chord) - Math.floor(i / CHORDS) % 12, kindOf(chord));
});
/** A chord as it stands to the tonic of a key. */
export const inKey = (chord: number, key: number): number => IN_KEY[key * CHORDS + chord]!;
