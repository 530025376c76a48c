/** General MIDI programs that are a way of playing rather than an instrument, counted from 0 (General MIDI 1, 1991). */
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
