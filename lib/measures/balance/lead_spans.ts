/** The lead's notes in time, and the stretches in which the ear judges each. */
import type { Note } from "../../score/model.ts";
import type { MomentSpan } from "./moment.ts";
import { soundingTicks } from "../sounding.ts";

/** A note of the lead, or what is left of one held over from the bar before. */
interface LeadSpan extends MomentSpan {
  /** Begun in an earlier bar. */
  readonly heldOver: boolean;
  /** Where its sound ends, at most `to`. */
  readonly soundsTo: number;
}

/**
 * One span per note of the lead, from its start to its end or the next; a note held over comes first, unless it has
 * fallen silent by the bar line: what is left of it on paper is a rest to the ear.
 */
export function leadSpans(
  notes: readonly Note[],
  leaders: readonly number[],
  barStart: number,
): readonly LeadSpan[] {
  const ends = new Map<number, { written: number; sounding: number }>();
  const begun = new Set<number>();
  for (const n of notes) {
    if (!leaders.includes(n.part)) continue;
    if (n.onsetTicks + soundingTicks(n) <= barStart) continue;
    const from = Math.max(barStart, n.onsetTicks);
    if (n.onsetTicks >= barStart) begun.add(from);
    const known = ends.get(from);
    ends.set(from, {
      written: Math.max(known?.written ?? 0, n.onsetTicks + n.durationTicks),
      sounding: Math.max(known?.sounding ?? 0, n.onsetTicks + soundingTicks(n)),
    });
  }
  const starts = [...ends.keys()].sort((a, b) => a - b);
  return starts.map((from, i) => {
    const { written, sounding } = ends.get(from)!;
    const to = Math.min(written, starts[i + 1] ?? Infinity);
    return { from, to, heldOver: !begun.has(from), soundsTo: Math.min(to, sounding) };
  });
}

/** No note is cut into more stretches than this: what a long one has not said by then, it says no more. */
const MOST_STRETCHES = 4;

/**
 * Cuts a note into equal stretches in which the ear gathers its loudness. They depend on the note alone, never on
 * what sounds with it.
 */
export function stretchesOf(
  span: LeadSpan,
  clock: (ticks: number) => number,
  listenSeconds: number,
): readonly MomentSpan[] {
  const end = span.soundsTo;
  const seconds = clock(end) - clock(span.from);
  const count = Math.max(1, Math.min(MOST_STRETCHES, Math.floor(seconds / listenSeconds)));
  const cut = (i: number) => i === count ? end : span.from + (end - span.from) * i / count;
  return Array.from({ length: count }, (_, i) => ({ from: cut(i), to: cut(i + 1) }));
}
