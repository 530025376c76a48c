/** The slurs of a part as they are written: those of its source, or else such as its notes ask for. */
import { addTo } from "../../../base/add_to.ts";
import { linesOf } from "../../../score/lines_of.ts";
import type { Note, Score, SpanEnd } from "../../../score/model.ts";
import { barIndexOf } from "../../../score/time.ts";
import { numberSlurs, pairSlurs, type SlurPair } from "./slur_numbers.ts";

/** An end of a slur as it is written. */
export interface WrittenSlurEnd {
  readonly end: "start" | "stop";
  readonly number: number;
  /** Which printed head it stands at; the first or last one where that is not known. */
  readonly head: number | undefined;
}

/** A slur, with the heads it stands at where they are known. */
interface HeadPair extends SlurPair {
  readonly heads?: { readonly from: number; readonly to: number };
}

/** Ends of slurs on each note. Notes that say only that they are slurred get a slur from the note before. */
export function writtenSlurs(
  score: Score,
  partNotes: readonly Note[],
): ReadonlyMap<Note, readonly WrittenSlurEnd[]> {
  const notes = partNotes.filter((n) => !n.cue)
    .sort((a, b) => a.onsetTicks - b.onsetTicks || a.durationTicks - b.durationTicks);
  const source = notes.some((n) => n.slurStart) ? notes : withImpliedSlurs(notes);
  const slurNotes = source.map((n) => ({
    onsetTicks: n.onsetTicks,
    endTicks: n.onsetTicks + n.durationTicks,
    grace: n.grace,
    slurred: n.slurred,
    slurStart: n.slurStart,
    slurStop: n.slurStop,
    barIndex: barIndexOf(score, n.onsetTicks),
    endBarIndex: barIndexOf(score, n.onsetTicks + Math.max(0, n.durationTicks - 1)),
    line: `${n.staff}|${n.voice}`,
  }));
  const pairs: readonly HeadPair[] = printedSlurs(notes) ?? pairSlurs(slurNotes);
  const ends = new Map<Note, WrittenSlurEnd[]>();
  for (const { from, to, number, heads } of numberSlurs(slurNotes, pairs)) {
    addTo(ends, notes[from]!, { end: "start", number, head: heads?.from });
    addTo(ends, notes[to]!, { end: "stop", number, head: heads?.to });
  }
  return ends;
}

/**
 * Slurs as the source draws them: undefined where it does not say, or where the notes have others now. Under repeats
 * that are written out a slur comes back with the same number.
 */
function printedSlurs(notes: readonly Note[]): readonly HeadPair[] | undefined {
  const open = new Map<number, { readonly from: number; readonly head: number }>();
  const pairs: HeadPair[] = [];
  for (const [index, note] of notes.entries()) {
    const ends = note.notation?.slurs ?? [];
    const begun = new Set(ends.filter((e) => e.end === "start").map((e) => e.span));
    const ended = new Map(ends.filter((e) => e.end === "stop").map((e) => [e.span, e]));
    const toOthers = (end: SpanEnd["end"]) =>
      ends.filter((e) => e.end === end && !(begun.has(e.span) && ended.has(e.span)));
    const [starts, stops] = [toOthers("start"), toOthers("stop")];
    if (starts.length > 0 !== note.slurStart || stops.length > 0 !== note.slurStop) return undefined;
    for (const { span, head, end } of ends) {
      const to = end === "start" ? ended.get(span) : undefined;
      if (to) pairs.push({ from: index, to: index, heads: { from: head, to: to.head } });
    }
    for (const { span, head } of stops) {
      const start = open.get(span);
      if (!start) return undefined;
      pairs.push({ from: start.from, to: index, heads: { from: start.head, to: head } });
      open.delete(span);
    }
    for (const { span, head } of starts) open.set(span, { from: index, head });
  }
  return open.size === 0 && pairs.length > 0 ? pairs : undefined;
}

/** Copies in which runs of `slurred` notes have a beginning and an end, on one note of each chord. */
function withImpliedSlurs(notes: readonly Note[]): readonly Note[] {
  const [starts, stops] = [new Set<Note>(), new Set<Note>()];
  for (const line of linesOf(notes.filter((n) => !n.grace))) {
    const heads = line.map((chord) => chord[0]!);
    heads.forEach((note, i) => {
      const before = heads[i - 1];
      if (!before || !note.slurred) return;
      if (!before.slurred || i === 1) starts.add(before);
      if (!heads[i + 1]?.slurred) stops.add(note);
    });
  }
  return notes.map((n) => ({ ...n, slurStart: starts.has(n), slurStop: stops.has(n) }));
}
