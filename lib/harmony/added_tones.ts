/** Kinds of chord beyond triads and sevenths, told by what sounds in a stretch once its root is known: held fourths, ninths. */
import { CHORD_TYPES, type ChordType, chordType } from "../score/chord_types.ts";
import { kindOf, rootOf } from "./chord_space.ts";
import type { Segment } from "./segments.ts";

/** A chord as it is called: root from the reference of the slots. */
export interface CalledChord {
  readonly root: number;
  /** The chord without what is added, an index into the chord types. */
  readonly kind: number;
  readonly type: ChordType;
}

/** Part of the sound that a tone has at least to be of such a chord, and what sounds beside it at most; model assumptions. */
const [LEAST, BESIDE] = [0.08, 0.03];
/** A tone is there throughout where it sounds for this share of the time; model assumption. */
const THERE = 0.9;

const MAJOR = CHORD_TYPES.findIndex(({ quality }) => quality === "major");
/** Chords in which a fourth stands for the third, told by their bass; those with more tones first. */
const SUSPENDED = ["7sus4", "sus4"].map((suffix) => ({ type: chordType(suffix), from: 5 }));
/** Chords with a ninth, by the suffix of the chord without it. */
const NINTHS = new Map(
  [["", "add9"], ["m", "madd9"], ["7", "9"], ["maj7", "maj9"], ["m7", "m9"]].map((
    [plain = "", ninth = ""],
  ) => [
    plain,
    { type: chordType(ninth), from: 2 },
  ]),
);

/**
 * What a chord is called that was found in a stretch of a bar or more. Where a fourth over the bass stands throughout, and no
 * third anywhere, it is a suspended fourth on that bass; where a ninth does, it is of the chord. Hardly anything else may
 * sound: a suspension that resolves, and a ninth that passes, are notes beside the chord. Without the stretch it is called
 * by the chord alone; in stretches shorter than a bar annotators do not speak of ninths (46 of 50 in the movements the
 * constants were chosen on).
 */
export function calledBy(chord: number, segment: Segment | undefined): CalledChord {
  const [root, kind] = [rootOf(chord), kindOf(chord)];
  const plain = { root, kind, type: CHORD_TYPES[kind]! };
  if (segment === undefined) return plain;
  const bass = segment.firstBass;
  const suspended = SUSPENDED.find((one) => isAllThatSounds(segment, { ...one, root: bass }));
  if (suspended) return { root: bass, kind: MAJOR, type: suspended.type };
  const ninth = NINTHS.get(plain.type.suffix);
  return ninth && isAllThatSounds(segment, { ...ninth, root }) ? { ...plain, type: ninth.type } : plain;
}

/** Whether all tones of a chord sound, that which makes its name throughout, and hardly anything else. */
function isAllThatSounds(
  { plainSound, throughout, firstBass }: Segment,
  { root, type, from }: Pick<CalledChord, "root" | "type"> & { readonly from: number },
): boolean {
  if (firstBass < 0) return false;
  const tones = type.semitones.map((up) => (root + up) % 12);
  const all = tones.reduce((sum, tone) => sum + plainSound[tone]!, 0);
  return all >= 1 - BESIDE && tones.every((tone) => plainSound[tone]! >= LEAST) &&
    throughout[(root + from) % 12]! >= THERE;
}
