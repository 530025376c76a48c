/** Pitches that sound, each once however many parts play them. */
import type { Settings } from "../base/settings.ts";
import type { Note, Score } from "../score/model.ts";
import { barIndexOf } from "../score/time.ts";
import type { Texture } from "../texture/model.ts";
import type { HARMONY_CONSTANTS } from "./harmony_constants.ts";
import type { Look, Motions } from "./note_motion.ts";

/** What has to be known of the notes. */
export interface ToneInput {
  readonly texture: Texture | undefined;
  readonly motions: Motions;
  readonly settings: Settings<typeof HARMONY_CONSTANTS>;
}

/** A pitch struck at one time for one length, by however many parts. */
export interface SoundedTone {
  readonly onsetTicks: number;
  readonly endTicks: number;
  readonly pitch: number;
  weight: number;
  bass: boolean;
}

/** Pitches rounded to semitones that are not drums, each once however many parts play it, in an order of their own. */
export function soundedTones(score: Score, input: ToneInput): readonly SoundedTone[] {
  const roles = rolesOf(score, input.texture);
  const weights = weightsOf(input.settings);
  const tones: SoundedTone[] = [];
  score.notes.forEach((note, i) => {
    const motion = input.motions[i];
    if (motion === undefined) return;
    const role = roles?.(note);
    tones.push({
      onsetTicks: note.onsetTicks,
      endTicks: note.onsetTicks + note.durationTicks,
      pitch: Math.round(note.soundingPitch),
      weight: weights[motion.looks] * (role === "lead" ? input.settings.leadWeight : 1),
      bass: role === "bass",
    });
  });
  return eachOnce(
    tones.sort((a, b) => a.onsetTicks - b.onsetTicks || a.pitch - b.pitch || a.endTicks - b.endTicks),
  );
}

/** Doublings made one: the greatest weight, and the bass if one of them has it. */
function eachOnce(tones: readonly SoundedTone[]): readonly SoundedTone[] {
  const once: SoundedTone[] = [];
  for (const tone of tones) {
    const last = once.at(-1);
    const isSame = last !== undefined && last.onsetTicks === tone.onsetTicks && last.pitch === tone.pitch &&
      last.endTicks === tone.endTicks;
    if (!isSame) {
      once.push(tone);
      continue;
    }
    last.weight = Math.max(last.weight, tone.weight);
    last.bass ||= tone.bass;
  }
  return once;
}

/** What the part of a note is for where the note begins, where a texture says it. */
function rolesOf(score: Score, texture: Texture | undefined) {
  return texture &&
    ((note: Note) =>
      texture.cells[barIndexOf(score, note.onsetTicks) * score.parts.length + note.part]?.role);
}

function weightsOf(settings: ToneInput["settings"]): Readonly<Record<Look, number>> {
  return {
    passing: settings.passingWeight,
    neighbour: settings.neighbourWeight,
    suspension: settings.suspensionWeight,
    plain: 1,
  };
}
