/** The name of a note as its file spells it. */
import { pitchName } from "../base/units.ts";
import type { Note, Score, Spelling } from "./model.ts";
import { pitchOfSpelling, spell, spellAs } from "./spelling.ts";
import { barIndexOf } from "./time.ts";

/** What a name is made of: a pitch, where it stands, and how it is spelt if that is known. */
export type NamedNote = Pick<Note, "onsetTicks" | "soundingPitch" | "spelling">;

/**
 * Spelling of a note, rounded to the nearest semitone: as the source gave it, else in the key of its bar; without a key
 * signature as players say it (`pitchName`). A spelling that belongs to another pitch does not count.
 */
export function spellingOf(score: Pick<Score, "bars">, note: NamedNote): Spelling {
  const { spelling } = note;
  const pitch = Math.round(note.soundingPitch);
  if (spelling && Math.round(pitchOfSpelling(spelling)) === pitch) return spelling;
  const { keyFifths = 0 } = score.bars[barIndexOf(score, note.onsetTicks)] ?? {};
  return keyFifths === 0
    ? spellAs(pitchName(pitch).replace(/-?\d+$/, ""), pitch)
    : spell(pitch, { keyFifths });
}

/** A note's sounding pitch by name, with its octave. For example `G#2`, where `pitchName` would say `Ab2`. */
export function spelledName(score: Pick<Score, "bars">, note: NamedNote): string {
  return nameOfSpelling(spellingOf(score, note));
}

/** A spelling as text that `pitchOf` reads back, a double sharp as x. */
export function nameOfSpelling({ step, alter, octave }: Spelling): string {
  const whole = Math.round(alter);
  const accidentals = whole < 0 ? "b".repeat(-whole) : "x".repeat(whole >> 1) + "#".repeat(whole & 1);
  return `${step}${accidentals}${octave}`;
}

/** The same note some octaves away, under the same letter. */
export function octavesAway(note: NamedNote, octaves: number): NamedNote {
  const { onsetTicks, soundingPitch, spelling } = note;
  return {
    onsetTicks,
    soundingPitch: soundingPitch + 12 * octaves,
    ...(spelling ? { spelling: { ...spelling, octave: spelling.octave + octaves } } : {}),
  };
}
