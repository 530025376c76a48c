/** How a pitch is spelt: letters and accidentals on the line of fifths, in a key, for a transposing player. */
import { modulo, pitchClassOf } from "../base/modulo.ts";
import { type SoundingPitch, STEP_SEMITONES } from "../base/units.ts";
import type { Spelling } from "./model.ts";

/** Letters along the line of fifths from F. */
const FIFTHS_LETTERS = ["F", "C", "G", "D", "A", "E", "B"] as const;
/** Letters of the scale. */
const SCALE = "CDEFGAB";

/** Pitch of a spelling. */
export function pitchOfSpelling(spelling: Spelling): SoundingPitch {
  return (STEP_SEMITONES[spelling.step] ?? 0) + spelling.alter + (spelling.octave + 1) * 12;
}

/** Place of a spelling on the line of fifths: C is 0, G 1, F -1, F sharp 6. Quarter tones round up. */
export function fifthsOf(spelling: Spelling): number {
  return FIFTHS_LETTERS.indexOf(spelling.step as typeof FIFTHS_LETTERS[number]) - 1 +
    7 * Math.round(spelling.alter);
}

/** Name of the pitch class at a place on the line of fifths, as {@linkcode fifthsOf} counts: 6 is F#, -2 Bb. */
export function nameAtFifths(fifths: number): string {
  const { step, alter } = spellAt(0, fifths);
  return step + (alter < 0 ? "b".repeat(-alter) : "#".repeat(alter));
}

/** Pitch class of a name such as `Bb`, 0 for C to 11 for B. */
export function pitchClassOfName(name: string): number {
  return pitchClassOf(pitchOfSpelling(spellAs(name, 0)));
}

/** Alteration a key signature gives a letter, in semitones. */
export function alterInKey(step: string, keyFifths: number): number {
  return Math.floor((keyFifths + 5 - fifthsOf({ step, alter: 0, octave: 4 })) / 7);
}

/** Spelling of a pitch by its place on the line of fifths; what is left over from a semitone goes to the alteration. */
function spellAt(pitch: number, fifths: number): Spelling {
  const step = FIFTHS_LETTERS[modulo(fifths + 1, 7)]!;
  const alter = Math.floor((fifths + 1) / 7);
  const semitones = STEP_SEMITONES[step]!;
  const octave = Math.round((Math.round(pitch) - semitones - alter) / 12) - 1;
  return { step, alter: alter + (pitch - Math.round(pitch)), octave };
}

/** What decides a spelling beside the pitch. */
interface SpellOptions {
  /** Key signature, sharps positive, flats negative; 0 when not given. */
  readonly keyFifths?: number;
  /** Pitch that follows in the same line; a chromatic note leads into its neighbour. */
  readonly next?: SoundingPitch | undefined;
}

/**
 * Spells a pitch, quarter tones too, in a key. Notes of the key take its own accidentals. A chromatic note
 * that rises a semitone to the next is the lower neighbour sharpened, one that falls a semitone is the upper
 * neighbour flattened; others take the nearer side of the line of fifths, three places flat to eight places
 * sharp of the tonic: never more than a double accidental. Common practice, no source.
 */
export function spell(pitch: SoundingPitch, options: SpellOptions = {}): Spelling {
  const key = options.keyFifths ?? 0;
  const whole = Math.round(pitch);
  // 7 is its own inverse modulo 12, so this is the pitch class's place on the line of fifths.
  const near = modulo(whole * 7, 12);
  const inWindow = (low: number): number => low + modulo(near - low, 12);
  let fifths = inWindow(key - 3);
  const diatonic = inWindow(key - 1) <= key + 5;
  if (diatonic) fifths = inWindow(key - 1);
  else if (options.next !== undefined && Math.round(options.next) - whole === 1) fifths = inWindow(key + 1);
  else if (options.next !== undefined && Math.round(options.next) - whole === -1) fifths = inWindow(key - 7);
  // A double accidental where a plain one would do helps nobody who reads at sight.
  if (!diatonic && fifths > 12) fifths -= 12;
  if (!diatonic && fifths < -8) fifths += 12;
  return spellAt(pitch, fifths);
}

/** The spelling of a sounding pitch by the name of its pitch class, such as `Bb`. */
export function spellAs(name: string, pitch: number): Spelling {
  const accidentals = name.slice(1);
  const alter = accidentals.startsWith("b") ? -accidentals.length : accidentals.length;
  return { step: name[0]!, alter, octave: Math.floor((pitch - alter) / 12) - 1 };
}

/** An interval in semitones and staff steps, upwards positive. */
export interface Interval {
  readonly semitones: number;
  /** Staff steps: 1 for a second, 4 for a fifth, 7 for an octave. */
  readonly steps: number;
}

/**
 * Places an interval moves along the line of fifths: +1 for a fifth up, +2 for a major second up, 0 for
 * octaves. A key signature transposed by the interval gains as many sharps.
 */
export function fifthsOfInterval(interval: Interval): number {
  const letters = modulo(interval.steps, 7);
  const octaves = Math.floor(interval.steps / 7);
  const step = SCALE[letters]!;
  const from = STEP_SEMITONES[step]! + 12 * octaves;
  return fifthsOf({ step, alter: 0, octave: 4 }) + 7 * (interval.semitones - from);
}

/** Most sharps or flats that a transposing player is given: D flat for C sharp. Common practice, no source. */
const MOST_ACCIDENTALS = 6;

/** The key signature that a player reads who transposes: beyond six sharps or flats the enharmonic one. */
export function transposedKey(keyFifths: number, shift: number): number {
  const fifths = keyFifths + shift;
  const most = shift === 0 ? 7 : MOST_ACCIDENTALS;
  return fifths > most ? fifths - 12 : fifths < -most ? fifths + 12 : fifths;
}

/** Moves a spelling by an interval, keeping letter distance and sound. */
export function transposeSpelling(spelling: Spelling, interval: Interval): Spelling {
  const index = SCALE.indexOf(spelling.step) + interval.steps;
  const step = SCALE[modulo(index, 7)]!;
  const octave = spelling.octave + Math.floor(index / 7);
  const alter = pitchOfSpelling(spelling) + interval.semitones - pitchOfSpelling({ step, alter: 0, octave });
  return { step, alter, octave };
}

/** The same sound twelve places along the line of fifths: C sharp for D flat, and back. */
export function enharmonic(spelling: Spelling, direction: 1 | -1): Spelling {
  return spellAt(pitchOfSpelling(spelling), fifthsOf(spelling) + 12 * direction);
}
