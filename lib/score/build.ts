/** Putting a score together: sorting, filling defaults, and copies with one thing changed. */
import { A_LIST, A_RECORD, BARS, checkArgument, NOTES_OF } from "../base/arguments.ts";
import { memoOf } from "../base/memo.ts";
import { DEFAULT_DYNAMIC } from "./dynamics.ts";
import type { Note, Score } from "./model.ts";

/** What a note must be given; the rest has defaults. */
export type NoteInput =
  & Pick<Note, "part" | "onsetTicks" | "durationTicks" | "soundingPitch">
  & Partial<Note>;

/**
 * A note with every field set: mezzo-forte, ordinario, no signs, unless given.
 *
 * @param input part, onset, duration, pitch and whatever differs from the defaults
 * @returns the note
 *
 * @example
 * ```ts
 * import { makeNote } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const note = makeNote({ part: 0, onsetTicks: 0, durationTicks: 480, soundingPitch: 60 });
 * assertEquals([note.dynamic, note.technique, note.slurred], [5, "ordinario", false]);
 * ```
 */
export function makeNote(input: NoteInput): Note {
  checkArgument("make the note", input, A_RECORD);
  return {
    dynamic: DEFAULT_DYNAMIC,
    articulations: [],
    technique: "ordinario",
    slurred: false,
    slurStart: false,
    slurStop: false,
    tremoloSlashes: 0,
    tremoloAlternates: false,
    trill: false,
    noteheads: 1,
    grace: false,
    cue: false,
    unpitched: false,
    voice: 1,
    staff: 1,
    ...input,
  };
}

/**
 * Notes in score order: by onset, then part, grace notes first and in the order they are played, then by pitch.
 *
 * @param notes notes in any order; not changed
 * @returns a sorted copy
 *
 * @example
 * ```ts
 * import { makeNote, sortNotes } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const at = (onsetTicks: number) => makeNote({ part: 0, onsetTicks, durationTicks: 1, soundingPitch: 60 });
 * assertEquals(sortNotes([at(5), at(2)]).map((n) => n.onsetTicks), [2, 5]);
 * ```
 */
export function sortNotes(notes: readonly Note[]): readonly Note[] {
  checkArgument("sort the notes", notes, A_LIST);
  return [...notes].sort((a, b) =>
    a.onsetTicks - b.onsetTicks || a.part - b.part || Number(b.grace) - Number(a.grace) ||
    (a.grace ? 0 : a.soundingPitch - b.soundingPitch || a.durationTicks - b.durationTicks)
  );
}

/**
 * The notes that sound: without cues and grace notes.
 *
 * @param score the score
 * @returns notes in score order
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { soundingNotes } from "ripieno/score";
 * import { assert } from "@std/assert";
 * assert(soundingNotes(demoScore()).every((n) => !n.cue && !n.grace));
 * ```
 */
export function soundingNotes(score: Score): readonly Note[] {
  checkArgument("find the sounding notes", score, NOTES_OF);
  return soundingOf(score.notes);
}

/** Notes that sound, by a score's list of notes: every measure asks for them, and the list never changes. */
const soundingOf = memoOf((notes: readonly Note[]): readonly Note[] =>
  notes.filter((n) => !n.cue && !n.grace && n.durationTicks > 0)
);

/** The notes of each part that sound, in score order. */
export function notesByPart(score: Score): readonly (readonly Note[])[] {
  const lists: Note[][] = score.parts.map(() => []);
  for (const note of soundingNotes(score)) lists[note.part]?.push(note);
  return lists;
}

/**
 * Notes sorted into bars by onset.
 *
 * @param score the score
 * @param notes notes in score order; by default those that sound
 * @returns one list per bar
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { notesByBar } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * assertEquals(notesByBar(demoScore()).length, demoScore().bars.length);
 * ```
 */
export function notesByBar(score: Score, notes: readonly Note[] = soundingNotes(score)): Note[][] {
  checkArgument("sort notes into bars", score, BARS);
  checkArgument("sort notes into bars", notes, A_LIST, "notes");
  const lists: Note[][] = score.bars.map(() => []);
  let bar = 0;
  for (const note of notes) {
    while (bar + 1 < score.bars.length && score.bars[bar + 1]!.startTicks <= note.onsetTicks) bar++;
    lists[bar]?.push(note);
  }
  return lists;
}
