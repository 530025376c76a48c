import type { Note } from "./model.ts";

/** Notes that begin together in one voice of one stave. */
export type Chord = readonly Note[];

/** The chords of each voice of each stave, from notes in score order. */
export function linesOf(notes: readonly Note[]): readonly (readonly Chord[])[] {
  const lines = new Map<string, Note[][]>();
  for (const note of notes) {
    const key = `${note.staff}|${note.voice}`;
    let line = lines.get(key);
    if (!line) lines.set(key, line = []);
    const last = line.at(-1);
    if (last && last[0]!.onsetTicks === note.onsetTicks) last.push(note);
    else line.push([note]);
  }
  return [...lines.values()];
}
