/** Slurs need a beginning, an end, and a number that no other slur near them has. */

/** A note as far as slurs go. */
export interface SlurNote {
  /** Start in ticks. */
  readonly onsetTicks: number;
  /** Index of the bar it begins in. */
  readonly bar: number;
  /** Index of the bar its last head stands in. */
  readonly endBar: number;
  /** Stave and voice, in any wording. */
  readonly line: string;
  /** A slur begins here. */
  readonly slurStart: boolean;
  /** A slur ends here. */
  readonly slurStop: boolean;
}

/** A slur from one note to another, as indexes into the list. */
export interface NumberedSlur {
  /** Note it begins on. */
  readonly from: number;
  /** Note it ends on. */
  readonly to: number;
  /** Number, from 1. */
  readonly number: number;
}

/** Most slurs that can be told apart at once (`number-level` of MusicXML 4.0). */
const MOST_AT_ONCE = 16;

/**
 * Pairs the beginnings and ends of slurs in one part, those of one voice first, and numbers them. An end
 * without a beginning, or the reverse, is left out.
 *
 * @param notes notes in order of onset
 * @returns slurs in order of their beginnings
 */
export function numberSlurs(notes: readonly SlurNote[]): readonly NumberedSlur[] {
  const pairs: { from: number; to: number }[] = [];
  const looseStops: number[] = [];
  const looseStarts: number[] = [];
  const open = new Map<string, number[]>();
  notes.forEach((note, i) => {
    const stack = open.get(note.line) ?? [];
    open.set(note.line, stack);
    if (note.slurStop) {
      const from = stack.pop();
      if (from === undefined) looseStops.push(i);
      else pairs.push({ from, to: i });
    }
    if (note.slurStart) stack.push(i);
  });
  for (const stack of open.values()) looseStarts.push(...stack);
  looseStarts.sort((a, b) => a - b);
  for (const to of looseStops) {
    const at = looseStarts.findIndex((from) => from < to);
    if (at >= 0) pairs.push({ from: looseStarts.splice(at, 1)[0]!, to });
  }
  pairs.sort((a, b) => a.from - b.from || a.to - b.to);
  const lastOf: ({ line: string; onsetTicks: number; bar: number } | undefined)[] = [];
  const result: NumberedSlur[] = [];
  for (const { from, to } of pairs) {
    const start = notes[from]!;
    const end = notes[to]!;
    let slot = 0;
    while (slot < MOST_AT_ONCE) {
      const last = lastOf[slot];
      const free = !last ||
        (last.line === start.line && start.line === end.line
          ? last.onsetTicks < start.onsetTicks
          : last.bar < start.bar);
      if (free) break;
      slot++;
    }
    if (slot === MOST_AT_ONCE) continue;
    const line = start.line === end.line ? start.line : "";
    lastOf[slot] = { line, onsetTicks: end.onsetTicks, bar: end.endBar };
    result.push({ from, to, number: slot + 1 });
  }
  return result;
}
