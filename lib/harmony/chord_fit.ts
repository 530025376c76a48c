/** How well chords fit what sounds. */
import type { Settings } from "../base/settings.ts";
import { CHORD_TYPES } from "../score/chord_types.ts";
import { CHORDS, KINDS } from "./chord_space.ts";
import type { HARMONY_CONSTANTS } from "./harmony_constants.ts";

/** What the constants make of tones and kinds of chord. */
interface ToneOdds {
  /** Log of the part of the sound that each tone of each kind has, above that of a foreign pitch class. */
  readonly tones: readonly (readonly number[])[];
  /** What each kind has in advance of others. */
  readonly kinds: readonly number[];
  /** What each kind loses by a seventh that does not sound from the start. */
  readonly late: readonly number[];
  /** What each tone adds in the bass. */
  readonly bass: readonly number[];
}

/** The constant by which each kind is ahead of others. */
const KIND_ODDS = {
  "major": "majorOdds",
  "minor": "minorOdds",
  "diminished": "diminishedOdds",
  "augmented": "augmentedOdds",
  "seventh": "seventhOdds",
  "major seventh": "majorSeventhOdds",
  "minor seventh": "minorSeventhOdds",
  "diminished seventh": "diminishedSeventhOdds",
  "half-diminished seventh": "halfDiminishedOdds",
} as const;
/** The constant by which a seventh loses that comes late; those of diminished chords belong to them whenever they come. */
const LATE_SEVENTHS = {
  "seventh": "lateDominantSeventh",
  "major seventh": "lateSeventh",
  "minor seventh": "lateSeventh",
} as const;
/** What the bass adds by inversion, against the root in the bass; model assumption. */
const BASS_BY_INVERSION = [1, 0.5, 0.3, 0.2];

/** What the constants make of each tone. A seventh has the part of a fifth, and all tones make room for it alike. */
export function toneOdds(settings: Settings<typeof HARMONY_CONSTANTS>): ToneOdds {
  const { rootShare, thirdShare, fifthShare, seventhShare, seventhRoom, foreignShare } = settings;
  const triad = [rootShare, thirdShare, fifthShare];
  const seventh = [...triad.map((share) => share * seventhRoom), seventhShare];
  const byKind = (names: Readonly<Record<string, keyof typeof settings>>) =>
    CHORD_TYPES.map(({ quality }) => Object.hasOwn(names, quality) ? settings[names[quality]!] : 0);
  return {
    tones: CHORD_TYPES.map(({ semitones }) =>
      (semitones.length === 3 ? triad : seventh).map((share) => Math.log(share / foreignShare))
    ),
    kinds: byKind(KIND_ODDS),
    late: byKind(LATE_SEVENTHS),
    bass: BASS_BY_INVERSION.map((factor) => factor * settings.bassWeight),
  };
}

/** Shares of the sound and of the bass by pitch class, each summing to 1 or all 0. */
export interface ChordSound {
  readonly sound: Float64Array;
  readonly bass: Float64Array;
  /** Share of its beginning for which each pitch class sounds; not asked where it is but a slot long. */
  readonly atStart?: Float64Array;
}

/** The fit of all chords, higher is better. */
export function chordFits({ sound, bass, atStart }: ChordSound, odds: ToneOdds): Float64Array {
  const fits = new Float64Array(CHORDS);
  for (let kind = 0; kind < KINDS; kind++) {
    const { semitones } = CHORD_TYPES[kind]!;
    const own = odds.tones[kind]!;
    for (let root = 0; root < 12; root++) {
      let fit = odds.kinds[kind]!;
      for (let tone = 0; tone < semitones.length; tone++) {
        const at = (root + semitones[tone]!) % 12;
        fit += own[tone]! * sound[at]! + odds.bass[tone]! * bass[at]!;
      }
      if (atStart && semitones.length > 3) {
        fit -= odds.late[kind]! * (1 - atStart[(root + semitones[3]!) % 12]!);
      }
      fits[root * KINDS + kind] = fit;
    }
  }
  return fits;
}
