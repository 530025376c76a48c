/** Pitches that sound, each once however many parts play them. */
import type { Settings } from "../base/settings.ts";
import { soundingNotes } from "../score/build.ts";
import type { Note, Score } from "../score/model.ts";
import { barIndexOf } from "../score/time.ts";
import type { Texture } from "../texture/model.ts";
import type { HARMONY_CONSTANTS } from "./harmony_constants.ts";
import type { Motion } from "./note_motion.ts";

/** What has to be known of the notes. */
export interface ToneInput {
  readonly texture: Texture | undefined;
  readonly motions: ReadonlyMap<Note, Motion>;
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
  const found = new Map<number, Map<number, SoundedTone>>();
  const tones: SoundedTone[] = [];
  const roles = rolesOf(score, input.texture);
  for (const note of soundingNotes(score)) {
    if (note.unpitched) continue;
    const pitch = Math.round(note.soundingPitch);
    const role = roles?.(note);
    const weight = weightOf(input, note) * (role === "lead" ? input.settings.leadWeight : 1);
    let here = found.get(note.onsetTicks);
    if (here === undefined) found.set(note.onsetTicks, here = new Map());
    const key = note.durationTicks * 1024 + pitch;
    const tone = here.get(key);
    if (tone === undefined) {
      const { onsetTicks } = note;
      const endTicks = onsetTicks + note.durationTicks;
      const first = { onsetTicks, endTicks, pitch, weight, bass: role === "bass" };
      here.set(key, first);
      tones.push(first);
    } else {
      tone.weight = Math.max(tone.weight, weight);
      tone.bass ||= role === "bass";
    }
  }
  return tones.sort((a, b) => a.onsetTicks - b.onsetTicks || a.pitch - b.pitch || a.endTicks - b.endTicks);
}

/** What the part of a note is for where the note begins, where a texture says it. */
function rolesOf(score: Score, texture: Texture | undefined) {
  return texture &&
    ((note: Note) =>
      texture.cells[barIndexOf(score, note.onsetTicks) * score.parts.length + note.part]?.role);
}

function weightOf({ motions, settings }: ToneInput, note: Note): number {
  return motions.get(note)?.isPassing ? settings.passingWeight : 1;
}
