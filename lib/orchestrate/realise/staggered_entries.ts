/** Players of a layer who come in one after another. */
import type { Ticks } from "../../base/units.ts";
import type { LayerEntries } from "../plan/extra_columns.ts";
import type { PlainNote } from "./layers/task.ts";

/** Share of a layer within which all its players have come in. Common practice, no source. */
const ENTRY_SHARE = 1 / 2;

interface EntryOptions {
  readonly entries: LayerEntries;
  /** Beats of the layer's bars, in order. */
  readonly beats: readonly Ticks[];
  /** Whether a note that is under way when its player comes in is left out, as strokes are, instead of cut. */
  readonly isStruck: boolean;
}

/**
 * Lets the players of a layer come in one after another, a beat apart, by the pitch they begin on; those on one pitch
 * together. Where the first half of the layer has fewer beats than there are entries, some share a beat.
 */
export function staggered(
  notes: readonly PlainNote[],
  { entries, beats, isStruck }: EntryOptions,
): readonly PlainNote[] {
  if (entries === "together" || notes.length === 0) return notes;
  const places = Math.max(1, Math.ceil(ENTRY_SHARE * beats.length));
  const firsts = new Map<number, PlainNote>();
  for (const n of notes) {
    const first = firsts.get(n.part);
    const isLower = first?.onsetTicks === n.onsetTicks && n.soundingPitch < first.soundingPitch;
    if (first === undefined || n.onsetTicks < first.onsetTicks || isLower) firsts.set(n.part, n);
  }
  const pitches = [...new Set([...firsts.values()].map((n) => n.soundingPitch))].sort((a, b) => a - b);
  if (entries === "from above") pitches.reverse();
  const entryOf = (part: number): Ticks => {
    const rank = pitches.indexOf(firsts.get(part)!.soundingPitch);
    return beats[pitches.length <= places ? rank : Math.floor(rank * places / pitches.length)]!;
  };
  return notes.flatMap((n): readonly PlainNote[] => {
    const entry = entryOf(n.part);
    const end = n.onsetTicks + n.durationTicks;
    if (n.onsetTicks >= entry) return [n];
    return isStruck || end <= entry ? [] : [{ ...n, onsetTicks: entry, durationTicks: end - entry }];
  });
}
