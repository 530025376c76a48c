/** Which double stops a whole section may be asked for. */
import type { SoundingPitch } from "../../base/units.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { stopOn, stringsOf } from "../../instruments/special/stops.ts";
import { memo, memoOf } from "../../base/memo.ts";

/**
 * Semitones between two fingers on neighbouring strings that a section stops in tune: those of sixths, fourths and thirds;
 * an octave takes the whole hand. Common practice, no source.
 */
const WIDEST_STRETCH = 3;

/** Semitones above an open string up to which a section stops chords: about the third position. Common practice, no source. */
const HIGHEST_FINGER = 9;

const knownOf = memoOf((_instrument: Instrument) => memo<boolean, number>(4000));

/**
 * Whether two notes lie well as a double stop: on neighbouring strings, low on the fingerboard, with an open string or two
 * fingers side by side. A fifth without an open string takes one finger across two strings, which few sections play in tune.
 */
export function liesWell(
  instrument: Instrument,
  pitches: readonly [SoundingPitch, SoundingPitch],
): boolean {
  const [low, high] = [Math.min(...pitches), Math.max(...pitches)];
  return knownOf(instrument)(low * 128 + high, () => {
    const { possible, openStrings, stretchSemitones, strings: chosen } = stopOn(instrument, [low, high]);
    if (!possible || low === high) return false;
    const own = stringsOf(instrument);
    const fingers = [low, high].map((p, i) => p - own[chosen[i]! - 1]!.openPitch);
    if (Math.max(...fingers) > HIGHEST_FINGER) return false;
    return openStrings > 0 || (stretchSemitones > 0 && stretchSemitones <= WIDEST_STRETCH);
  });
}
