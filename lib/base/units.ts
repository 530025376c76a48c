import { pitchClassOf } from "./modulo.ts";
import { A_NUMBER, A_PITCH, A_TEXT, checkArgument } from "./arguments.ts";

/** Pitch as it sounds, a MIDI note number (C4 = 60). Fractions are quarter tones and the like. */
export type SoundingPitch = number & { readonly __pitch?: "sounding" };
/** Pitch as a transposing player reads it, a MIDI note number. */
export type WrittenPitch = number & { readonly __pitch?: "written" };
/** Position or length on a score's own grid; whole numbers. */
export type Ticks = number & { readonly __time?: "ticks" };
/** Position or length in quarter notes. */
export type Quarters = number & { readonly __time?: "quarters" };
/** Position or length in seconds. */
export type Seconds = number & { readonly __time?: "seconds" };
/** A level in decibels; the name says relative to what. */
export type Decibels = number & { readonly __level?: "dB" };
/** Loudness in sones. */
export type Sones = number & { readonly __level?: "sones" };
/** A share from 0 to 1, never a percentage. */
export type Share = number & { readonly __share?: true };

const PITCH_NAMES = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"] as const;
/** Semitones of the letters above C. */
export const STEP_SEMITONES: Readonly<Record<string, number>> = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

/**
 * Frequency of a pitch in equal temperament.
 *
 * @param soundingPitch MIDI note number; fractions allowed
 * @param a4Hz tuning of A4 in Hz
 * @returns frequency in Hz
 *
 * @example
 * ```ts
 * import { hzOf } from "ripieno/score";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(hzOf(60), 261.6256, 1e-4);
 * ```
 */
export function hzOf(soundingPitch: SoundingPitch, a4Hz: number = 440): number {
  checkArgument("find the frequency", soundingPitch, A_PITCH);
  checkArgument("find the frequency", a4Hz, A_NUMBER, "the tuning");
  return a4Hz * 2 ** ((soundingPitch - 69) / 12);
}

/**
 * Name of a pitch with its octave as players say it where no spelling is known: C sharp and F sharp, but E flat, A flat
 * and B flat; C4 = middle C.
 *
 * @param pitch MIDI note number; rounded to the nearest semitone
 * @returns for example `F#3` or `Bb2`
 *
 * @example
 * ```ts
 * import { pitchName } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals([pitchName(60), pitchName(54), pitchName(46)], ["C4", "F#3", "Bb2"]);
 * ```
 */
export function pitchName(pitch: number): string {
  checkArgument("name the pitch", pitch, A_PITCH);
  const whole = Math.round(pitch);
  return `${PITCH_NAMES[pitchClassOf(pitch)]}${Math.floor(whole / 12) - 1}`;
}

/** What signs for accidentals do, in semitones: as typed and as printed. */
const ACCIDENTAL_SEMITONES: Readonly<Record<string, number>> = {
  "#": 1,
  "♯": 1,
  "x": 2,
  "𝄪": 2,
  "b": -1,
  "♭": -1,
  "𝄫": -2,
  "♮": 0,
};

/**
 * MIDI note number of a pitch name such as `Bb3`, `F#5` or `C4` (middle C), as {@linkcode pitchName} writes it and as
 * charts and tables print it.
 *
 * @param name letter, accidentals and octave; accidentals are any number of `#`, `♯`, `x` and `𝄪`, or any number of `b`,
 *   `♭` and `𝄫`, or one `♮`; the octave may be below 0
 * @returns the MIDI note number, or undefined when the name is not a pitch
 *
 * @example
 * ```ts
 * import { pitchOf } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals([pitchOf("Bb3"), pitchOf("B♭3"), pitchOf("Fx4"), pitchOf("H2")], [58, 58, 67, undefined]);
 * ```
 */
export function pitchOf(name: string): number | undefined {
  checkArgument("read the pitch", name, A_TEXT);
  const parts = /^([A-Ga-g])([#♯x𝄪]*|[b♭𝄫]*|♮)([-−]?\d+)$/u.exec(name.trim());
  if (!parts) return undefined;
  const [, letter = "", accidentals = "", octave = ""] = parts;
  const alteration = [...accidentals].reduce((sum, sign) => sum + ACCIDENTAL_SEMITONES[sign]!, 0);
  return STEP_SEMITONES[letter.toUpperCase()]! + alteration + (Number(octave.replace("−", "-")) + 1) * 12;
}
