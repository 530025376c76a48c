/** How chords and keys are called: as symbols, spelt in the key. */
import type { ChordType } from "../score/chord_types.ts";
import { nameAtFifths } from "../score/spelling.ts";
import { modulo12 } from "./chord_space.ts";
import type { LocalKey } from "./harmony_results.ts";

/** Places on the line of fifths from a root up to the tones of a chord, by semitones. */
const FIFTHS_UP: Readonly<Record<number, number>> = {
  0: 0,
  2: 2,
  3: -3,
  4: 4,
  5: -1,
  6: -6,
  7: 1,
  8: 8,
  9: -9,
  10: -2,
  11: 5,
};

/** A key by tonic and mode, spelt nearest to a key signature. */
export function namedKey(tonic: number, mode: LocalKey["mode"], keyFifths: number): LocalKey {
  const major = mode === "major" ? 0 : -3;
  return { tonic, mode, name: `${nameAtFifths(keySignature(tonic, mode, keyFifths) - major)} ${mode}` };
}

/** Sharps of a key's signature, flats negative: of the ways to spell it that which is nearest to another signature. */
export function keySignature(tonic: number, mode: LocalKey["mode"], near: number): number {
  return fifthsFrom(mode === "major" ? tonic : tonic + 3, Math.max(-7, Math.min(7, near)) - 5);
}

/** Place on the line of fifths of a pitch class, the first from a lowest place. */
function fifthsFrom(pitchClass: number, lowest: number): number {
  return lowest + modulo12(pitchClass * 7 - lowest);
}

/** What is named. */
interface ToName {
  readonly root: number;
  readonly type: ChordType;
  /** Pitch class in the bass; null where nothing sounds. */
  readonly bass: number | null;
  /** Sharps of the key it is heard in. */
  readonly keyFifths: number;
}

/** Kinds whose root leads up, so that it is a sharpened step rather than a flattened one. */
const LEADING = new Set(["diminished", "diminished seventh", "half-diminished seventh"]);

/**
 * Symbol of a chord, its root spelt in the key: chromatic roots as flattened steps, but for the sharpened fourth and
 * for roots of diminished chords. Common practice, no source.
 */
export function symbolOf({ root, type, bass, keyFifths }: ToName): string {
  const { quality, suffix, semitones } = type;
  const fifths = fifthsFrom(root, keyFifths - (LEADING.has(quality) ? 1 : 5));
  const up = bass === null ? 0 : modulo12(bass - root);
  if (up === 0) return `${nameAtFifths(fifths)}${suffix}`;
  const own = semitones.includes(up) ? fifths + FIFTHS_UP[up]! : fifthsFrom(root + up, keyFifths - 3);
  return `${nameAtFifths(fifths)}${suffix}/${nameAtFifths(own)}`;
}
