import { pitchName } from "../../base/units.ts";

/**
 * Name of a MIDI pitch, rounded to the nearest semitone, with the signs that stand in print: `B♭3`; C4 is middle C.
 */
export function noteName(pitch: number): string {
  return pitchName(pitch).replace("#", "♯").replace("b", "♭");
}

/** A chord symbol or a step of a key with the signs that stand in print: `B♭m7♭5`, `♭VI`. */
export function chordAsPrinted(symbol: string): string {
  return symbol.replaceAll("#", "♯").replaceAll("b", "♭");
}

/** A key with the signs that stand in print: `B♭ major`. */
export function keyAsPrinted(key: string): string {
  return key.replace(/^([A-Ga-g])#/, "$1♯").replace(/^([A-Ga-g])b/, "$1♭");
}

/** An instrument or a part with the sign that stands in print in the name of its pitch: `clarinet in B♭`. */
export function instrumentAsPrinted(name: string): string {
  return name.replace(
    /\b(in [A-Ha-h])(b|#)(?![a-z])/g,
    (_, step, sign) => `${step}${sign === "b" ? "♭" : "♯"}`,
  );
}
