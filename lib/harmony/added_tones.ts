/** Kinds of chord beyond triads and sevenths, told by what sounds in a stretch once its root is known: held fourths, ninths. */
import { CHORD_TYPES, type ChordType, chordType } from "../score/chord_types.ts";
import { kindOf, rootOf } from "./chord_space.ts";
import type { Segment } from "./segments.ts";

/** A chord as it is called: root from the reference of the slots. */
interface CalledChord {
  readonly root: number;
  /** The chord without what is added, an index into the chord types. */
  readonly kind: number;
  readonly type: ChordType;
}

/** Part of the sound that a tone has at least to be of such a chord, and what sounds beside it at most; model assumptions. */
const [LEAST, BESIDE] = [0.08, 0.03];
/** A tone is there throughout where it sounds for this share of the time; model assumption. */
const THERE = 0.9;

/** What a kind of chord may be called instead. */
interface Instead {
  readonly kind: number;
  readonly type: ChordType;
  /** Tones that make the difference, in semitones above the root. */
  readonly by: readonly number[];
}

const kindOfSuffix = (suffix: string) => CHORD_TYPES.findIndex((type) => type.suffix === suffix);

/** A chord by its suffix, what it is without ninth or fourth, and what makes the difference. */
function instead(suffix: string, plain: string, by: readonly number[]): Instead {
  return { kind: kindOfSuffix(plain), type: chordType(suffix), by };
}

/** Chords in which a fourth stands for the third, told by their bass; those with more tones first. */
const SUSPENDED = [instead("7sus4", "", [5]), instead("sus4", "", [5])];
/** Sevenths and ninths by the suffix of the chord they are added to; those with more tones first. */
const ADDED: Readonly<Record<string, readonly Instead[]>> = {
  "": [
    instead("maj9", "maj7", [11, 2]),
    instead("9", "7", [10, 2]),
    instead("maj7", "maj7", [11]),
    instead("7", "7", [10]),
    instead("add9", "", [2]),
  ],
  "m": [instead("m9", "m7", [10, 2]), instead("m7", "m7", [10]), instead("madd9", "m", [2])],
  "dim": [instead("dim7", "dim7", [9]), instead("m7b5", "m7b5", [10])],
  "7": [instead("9", "7", [2])],
  "maj7": [instead("maj9", "maj7", [2])],
  "m7": [instead("m9", "m7", [2])],
};

/**
 * What a chord is called that was found in a stretch of a bar or more. Where a fourth over the bass stands throughout, and no
 * third anywhere, it is a suspended fourth on that bass; where a seventh or a ninth does, it is of the chord. Hardly anything
 * else may sound: a suspension that resolves, and a ninth that passes, are notes beside the chord. Without the stretch it is
 * called by the chord alone; in stretches shorter than a bar annotators do not speak of ninths (46 of 50 in the movements
 * the constants were chosen on).
 */
export function calledBy(chord: number, segment: Segment | undefined): CalledChord {
  const root = rootOf(chord);
  const plain = { kind: kindOf(chord), type: CHORD_TYPES[kindOf(chord)]! };
  if (segment === undefined || segment.firstBass < 0) return { root, ...plain };
  const bass = segment.firstBass;
  const suspended = SUSPENDED.find((one) => isAllThatSounds(segment, { ...one, root: bass }));
  if (suspended) return { root: bass, ...suspended };
  const more = ADDED[plain.type.suffix]?.find((one) => isAllThatSounds(segment, { ...one, root }));
  return { root, ...more ?? plain };
}

/** Whether all tones of a chord sound, those that make its name throughout, and hardly anything else. */
function isAllThatSounds(
  { plainSound, throughout }: Segment,
  { root, type, by }: Omit<Instead, "kind"> & { readonly root: number },
): boolean {
  const tones = type.semitones.map((up) => (root + up) % 12);
  const all = tones.reduce((sum, tone) => sum + plainSound[tone]!, 0);
  return all >= 1 - BESIDE && tones.every((tone) => plainSound[tone]! >= LEAST) &&
    by.every((up) => throughout[(root + up) % 12]! >= THERE);
}
