/** General MIDI programs that are a way of playing rather than an instrument, counted from 0 (General MIDI 1, 1991). */
import type { Instrument } from "../../instruments/catalogue.ts";
import type { Technique } from "../../score/model.ts";

/** Pizzicato strings. */
export const PIZZICATO_STRINGS = 45;
/** Trumpet. */
export const TRUMPET = 56;
/** Muted trumpet. */
export const MUTED_TRUMPET = 59;
/** Tremolo strings. */
const TREMOLO_STRINGS = 44;
/** Violin, viola, cello, contrabass, and two string ensembles. */
const BOWED = [40, 41, 42, 43, 48, 49];

/** A program that stands for another one played in a certain way. */
interface ProgramManner {
  readonly of: readonly number[];
  /** Way of playing; nothing where the notes themselves show it. */
  readonly technique: Technique | undefined;
}

/** Ways of playing by program. */
export const PROGRAM_MANNERS: ReadonlyMap<number, ProgramManner> = new Map([
  [PIZZICATO_STRINGS, { of: BOWED, technique: "pizzicato" }],
  [TREMOLO_STRINGS, { of: BOWED, technique: undefined }],
  [MUTED_TRUMPET, { of: [TRUMPET], technique: "con sordino" }],
]);

/** Program of an instrument in a way of playing: that of the catalogue, where there is none for the way. */
export function programFor(
  instrument: Pick<Instrument, "midiProgram" | "soundProduction"> | undefined,
  technique: Technique,
): number {
  const own = instrument?.midiProgram ?? 0;
  if (technique === "pizzicato" && instrument?.soundProduction === "bowed") return PIZZICATO_STRINGS;
  if (technique === "con sordino" && own === TRUMPET) return MUTED_TRUMPET;
  return own;
}
