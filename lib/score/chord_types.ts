/** Kinds of chord that are told apart by ear and by recognition: their names, suffixes and tones. */
import { get as chordCalled } from "@tonaljs/chord";
import { semitones as semitonesOfInterval } from "@tonaljs/interval";

/** A kind of chord. */
export interface ChordType {
  /** Its name, for example `minor seventh`. */
  readonly quality: string;
  /** What stands behind the root in a chord symbol, for example `m7`. */
  readonly suffix: string;
  /** Tones as semitones above the root, upwards from 0. */
  readonly semitones: readonly number[];
}

/** Triads, then seventh chords. */
export const CHORD_TYPES: readonly ChordType[] = [
  ["major", ""],
  ["minor", "m"],
  ["diminished", "dim"],
  ["augmented", "aug"],
  ["seventh", "7"],
  ["major seventh", "maj7"],
  ["minor seventh", "m7"],
  ["diminished seventh", "dim7"],
  ["half-diminished seventh", "m7b5"],
].map(([quality = "", suffix = ""]) => ({ quality, suffix, semitones: semitonesOf(`C${suffix}`) }));

function semitonesOf(symbol: string): readonly number[] {
  return chordCalled(symbol).intervals.map((name) => semitonesOfInterval(name) % 12);
}

/**
 * Name of a chord by its tones: one of {@linkcode CHORD_TYPES}, or the chord library's own name.
 *
 * @param suffix what stands behind the root
 * @returns for example `seventh` or `suspended fourth`
 */
export function qualityOf(suffix: string): string {
  const tones = semitonesOf(`C${suffix}`).join(" ");
  return CHORD_TYPES.find(({ semitones }) => semitones.join(" ") === tones)?.quality ??
    (chordCalled(`C${suffix}`).type || suffix);
}

/**
 * A kind of chord by its suffix, those beyond {@linkcode CHORD_TYPES} included.
 *
 * @param suffix what stands behind the root, for example `sus4`
 * @returns its name, suffix and tones
 */
export function chordType(suffix: string): ChordType {
  return { quality: qualityOf(suffix), suffix, semitones: semitonesOf(`C${suffix}`) };
}
