/** Where glissandi and slides lead. */
import type { SoundingPitch, Ticks } from "../base/units.ts";
import type { Glissando, Note } from "./model.ts";

/** The end of a glissando: the note it leads to begins here, on this pitch, in the same part. */
interface GlissandoEnd {
  readonly part: number;
  readonly onsetTicks: Ticks;
  readonly soundingPitch: SoundingPitch;
}

/** Where a glissando leads. */
export function glissandoEnd(
  note: Pick<Note, "part" | "onsetTicks" | "soundingPitch">,
  glissando: Glissando,
): GlissandoEnd {
  return {
    part: note.part,
    onsetTicks: note.onsetTicks + glissando.lengthTicks,
    soundingPitch: note.soundingPitch + glissando.semitones,
  };
}

/** A key that is the same for a note and for the end of a glissando that leads to it. */
export function placeOfEnd(end: GlissandoEnd): string {
  // Quarter tones are exact; a thousandth of a semitone is nothing.
  return `${end.part} ${end.onsetTicks} ${Math.round(end.soundingPitch * 1000)}`;
}

/** Whether a glissando joins one note to another. */
export function isGlissandoTo(from: Note, to: Note): boolean {
  return from.glissandi?.some((g) => placeOfEnd(glissandoEnd(from, g)) === placeOfEnd(to)) === true;
}

/**
 * The note each glissando leads to, asked by a note and one of its glissandi. Where several notes stand there
 * (a grace note before its main note, two voices in unison), the main note in the same voice is taken.
 */
export function glissandoTargets(
  notes: readonly Note[],
): (note: Note, glissando: Glissando) => Note | undefined {
  const starts = notes.filter((n) => n.glissandi);
  const wanted = new Map<string, Note[]>();
  for (const note of starts) {
    for (const g of note.glissandi!) wanted.set(placeOfEnd(glissandoEnd(note, g)), []);
  }
  if (wanted.size > 0) { for (const note of notes) wanted.get(placeOfEnd(note))?.push(note); }
  return (note, glissando) => {
    const found = wanted.get(placeOfEnd(glissandoEnd(note, glissando))) ?? [];
    const strangeness = (n: Note) =>
      Number(n.cue !== note.cue) * 8 + Number(n.grace) * 4 + Number(n.staff !== note.staff) * 2 +
      Number(n.voice !== note.voice);
    return found.filter((n) => n !== note).sort((a, b) => strangeness(a) - strangeness(b))[0];
  };
}
