import { pitchName } from "../../base/units.ts";

/**
 * Name of a pitch with the signs that stand in print.
 *
 * @param pitch MIDI note number; rounded to the nearest semitone
 * @returns for example `B♭3`; C4 is middle C
 */
export function noteName(pitch: number): string {
  return pitchName(pitch).replace("#", "♯").replace("b", "♭");
}
