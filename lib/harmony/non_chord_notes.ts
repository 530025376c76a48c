/** Notes that do not belong to a chord they sound in, told apart by how they come and go. */
import type { Note, Score } from "../score/model.ts";
import { barBeatOf } from "../score/time.ts";
import { modulo12 } from "./chord_space.ts";
import type { HarmonySpan, NonChordKind, NonChordNote } from "./harmony_results.ts";
import { isSamePitch, isStep, type Motion, type Motions } from "./note_motion.ts";

/** Spans and the motions of the notes. */
export interface Surroundings {
  readonly spans: readonly HarmonySpan[];
  readonly motions: Motions;
}

/** Finds the notes that are foreign where they begin, or become so under a new chord. */
export function nonChordNotes(score: Score, around: Surroundings): readonly NonChordNote[] {
  const found: NonChordNote[] = [];
  let first = 0;
  score.notes.forEach((note, index) => {
    const motion = around.motions[index];
    while (first < around.spans.length - 1 && around.spans[first]!.endTicks <= note.onsetTicks) first++;
    if (motion === undefined) return;
    const span = firstForeign(note, around.spans, first);
    if (span === undefined) return;
    const place = barBeatOf(score, Math.max(note.onsetTicks, around.spans[span]!.startTicks));
    found.push({
      note: index,
      part: note.part,
      span,
      barIndex: place.barIndex,
      bar: place.bar,
      beat: place.beat,
      soundingPitch: note.soundingPitch,
      kind: kindOfNote(note, motion, { ...around, span }),
    });
  });
  return found;
}

function endOf(note: Note): number {
  return note.onsetTicks + note.durationTicks;
}

function isForeign(note: Note, span: HarmonySpan | undefined): boolean {
  return span !== undefined && span.root !== null &&
    !span.tones.includes(modulo12(Math.round(note.soundingPitch)));
}

/** First span that a note sounds in and does not belong to. */
function firstForeign(note: Note, spans: readonly HarmonySpan[], first: number): number | undefined {
  for (let s = first; s < spans.length && spans[s]!.startTicks < endOf(note); s++) {
    if (spans[s]!.endTicks > note.onsetTicks && isForeign(note, spans[s])) return s;
  }
  return undefined;
}

/** The usual names (common practice, no source); what fits none is `free`. */
function kindOfNote(note: Note, motion: Motion, at: Surroundings & { readonly span: number }): NonChordKind {
  const { before, after } = motion;
  const span = at.spans[at.span]!;
  const last = at.spans[at.span - 1];
  const isSame = (other: Note | undefined) => isSamePitch(other, note);
  const wasHeld = note.onsetTicks < span.startTicks || isSame(before) && note.onsetTicks === span.startTicks;
  const isPrepared = wasHeld && last !== undefined && !isForeign(note, last);
  if (isPrepared && isStep(note, after) && endOf(note) <= span.endTicks) return "suspension";
  if (outlasts(note, at)) return "pedal";
  if (isSame(after) && after!.onsetTicks >= span.endTicks && !isForeign(note, at.spans[at.span + 1])) {
    return "anticipation";
  }
  if (isStep(before, note) && isStep(note, after)) {
    const isOnward = Math.sign(note.soundingPitch - before!.soundingPitch) ===
      Math.sign(after!.soundingPitch - note.soundingPitch);
    return isOnward ? "passing" : "neighbour";
  }
  if (isStep(note, after)) return isPrepared ? "suspension" : "appoggiatura";
  if (isStep(before, note)) return "escape";
  return wasHeld || isSame(before) || isSame(after) ? "pedal" : "free";
}

/** Whether a note is held through the whole of a chord it does not belong to, from one it belongs to or to one. */
function outlasts(note: Note, { spans, span }: Surroundings & { readonly span: number }): boolean {
  const here = spans[span]!;
  const isHeldOver = note.onsetTicks < here.startTicks && endOf(note) >= here.endTicks;
  return isHeldOver || note.onsetTicks <= here.startTicks && endOf(note) > here.endTicks;
}
