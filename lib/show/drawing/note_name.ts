import { pitchName } from "../../base/units.ts";

/**
 * Name of a MIDI pitch, rounded to the nearest semitone, with the signs that stand in print: `B♭3`; C4 is middle C.
 */
export function noteName(pitch: number): string {
  return pitchName(pitch).replace("#", "♯").replace("b", "♭");
}
