/** How well chords fit what sounds. */
import type { Settings } from "../base/settings.ts";
import { CHORD_TYPES } from "../score/chord_types.ts";
import { CHORDS, KINDS } from "./chord_space.ts";
import type { HARMONY_CONSTANTS } from "./harmony_constants.ts";

/** Log of the part of the sound that each tone of each kind has, above that of a foreign pitch class. */
export interface ToneOdds {
  readonly tones: readonly (readonly number[])[];
  readonly bass: readonly number[];
}

/**
 * What kinds of chord have in advance of others, as a share of the whole sound's weight: annotators write a plain triad where
 * a seventh only passes. Chosen like the constants.
 */
const KIND_ODDS: Readonly<Record<string, number>> = {
  "major": 0.1,
  "minor": 0.055,
  "diminished": 0.03,
  "major seventh": -0.04,
  "half-diminished seventh": -0.04,
};
/** What the bass adds by inversion, against the root in the bass; model assumption. */
const BASS_BY_INVERSION = [1, 0.5, 0.3, 0.2];

/** What the constants make of each tone. A seventh has the part of a fifth, and all tones make room for it alike. */
export function toneOdds(settings: Settings<typeof HARMONY_CONSTANTS>): ToneOdds {
  const { rootShare, thirdShare, fifthShare, seventhShare, seventhRoom, foreignShare } = settings;
  const triad = [rootShare, thirdShare, fifthShare];
  const seventh = [...triad.map((share) => share * seventhRoom), seventhShare];
  return {
    tones: CHORD_TYPES.map(({ semitones }) =>
      (semitones.length === 3 ? triad : seventh).map((share) => Math.log(share / foreignShare))
    ),
    bass: BASS_BY_INVERSION.map((factor) => factor * settings.bassWeight),
  };
}

/** Shares of the sound and of the bass by pitch class, each summing to 1 or all 0. */
export interface ChordSound {
  readonly sound: Float64Array;
  readonly bass: Float64Array;
}

/** The fit of all chords, higher is better; the same for all where nothing sounds. */
export function chordFits({ sound, bass }: ChordSound, odds: ToneOdds): Float64Array {
  const fits = new Float64Array(CHORDS);
  CHORD_TYPES.forEach(({ quality, semitones }, kind) => {
    const own = odds.tones[kind]!;
    for (let root = 0; root < 12; root++) {
      let fit = KIND_ODDS[quality] ?? 0;
      for (let tone = 0; tone < semitones.length; tone++) {
        const at = (root + semitones[tone]!) % 12;
        fit += own[tone]! * sound[at]! + odds.bass[tone]! * bass[at]!;
      }
      fits[root * KINDS + kind] = fit;
    }
  });
  return fits;
}
