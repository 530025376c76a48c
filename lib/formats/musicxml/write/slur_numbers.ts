/** Slurs need a beginning, an end, and a number that no other slur near them has. */

/** A note as far as slurs go. */
interface SlurNote {
  readonly onsetTicks: number;
  /** Index of the bar it begins in. */
  readonly barIndex: number;
  /** Where its last head ends. */
  readonly endTicks: number;
  /** Index of the bar its last head stands in. */
  readonly endBarIndex: number;
  /** Stave and voice, in any wording. */
  readonly line: string;
  readonly grace: boolean;
  readonly slurred: boolean;
  readonly slurStart: boolean;
  readonly slurStop: boolean;
}

/** A slur from one note to another, as indexes into the list. */
export interface SlurPair {
  readonly from: number;
  readonly to: number;
}

/** Most slurs that can be told apart at once (`number-level` of MusicXML 4.0). */
const MOST_AT_ONCE = 16;

/** True when a slur can lead from one note to the other. */
function isBefore(from: SlurNote, to: SlurNote): boolean {
  return from.onsetTicks < to.onsetTicks || (from.onsetTicks === to.onsetTicks && from.grace && !to.grace);
}

/**
 * Pairs beginnings and ends within one voice: an end belongs to the beginning nearest before it. A note that
 * is not slurred ends whatever is open; what is left then shares the last end it can reach.
 */
function pairInLine(
  line: readonly number[],
  notes: readonly SlurNote[],
) {
  const pairs: SlurPair[] = [];
  const starts: number[] = [];
  const stops: number[] = [];
  const knowsSlurred = line.some((i) => notes[i]!.slurred);
  let open: number[] = [];
  let lastStop = -1;
  const settle = (from: number) => {
    if (lastStop > from) pairs.push({ from, to: lastStop });
    else starts.push(from);
  };
  for (let at = 0; at < line.length;) {
    const note = notes[line[at]!]!;
    // Notes of one chord: their ends come before their beginnings.
    const chord: number[] = [];
    while (at < line.length) {
      const other = notes[line[at]!]!;
      if (
        other.onsetTicks !== note.onsetTicks || other.grace !== note.grace || (note.grace && chord.length > 0)
      ) break;
      chord.push(line[at++]!);
    }
    const broken = knowsSlurred && !chord.some((i) => notes[i]!.slurred || notes[i]!.slurStop);
    if (broken) {
      for (const from of open) if (notes[from]!.onsetTicks < note.onsetTicks) settle(from);
      open = open.filter((from) => notes[from]!.onsetTicks >= note.onsetTicks);
    }
    for (const i of chord) {
      if (!notes[i]!.slurStop) continue;
      const from = open.pop();
      if (from === undefined) stops.push(i);
      else pairs.push({ from, to: i });
      lastStop = i;
    }
    for (const i of chord) if (notes[i]!.slurStart) open.push(i);
  }
  for (const from of open) settle(from);
  return { pairs, starts, stops };
}

/** Where a slur without an end in its own voice ends: on the end of another voice's slur, with its own last note. */
function endInAnotherLine(
  from: number,
  line: readonly number[],
  notes: readonly SlurNote[],
): number | undefined {
  let last: number | undefined;
  for (const i of line) {
    if (!isBefore(notes[from]!, notes[i]!)) continue;
    if (!notes[i]!.slurred) break;
    last = i;
  }
  if (last === undefined) return undefined;
  const { onsetTicks } = notes[last]!;
  const to = notes.findIndex((n) => n.slurStop && n.onsetTicks === onsetTicks && !n.grace);
  return to < 0 ? undefined : to;
}

/**
 * Slurs over slurs: where a note is slurred and no slur found so far reaches it, a longer one does, from the
 * last beginning to the next end with slurred notes only between them.
 */
function outerSlurs(
  line: readonly number[],
  notes: readonly SlurNote[],
  pairs: readonly SlurPair[],
): readonly SlurPair[] {
  const own = pairs.filter((p) => notes[p.from]!.line === notes[line[0]!]!.line);
  if (own.length === 0) return [];
  const found: SlurPair[] = [];
  let nextPair = 0;
  let reachedTicks = -1;
  const ordered = [...own].sort((a, b) => a.from - b.from);
  line.forEach((index, at) => {
    const note = notes[index]!;
    if (note.grace || !note.slurred) return;
    while (nextPair < ordered.length && isBefore(notes[ordered[nextPair]!.from]!, note)) {
      reachedTicks = Math.max(reachedTicks, notes[ordered[nextPair]!.to]!.onsetTicks);
      nextPair++;
    }
    if (note.onsetTicks <= reachedTicks) return;
    let from: number | undefined;
    for (let k = at - 1; k >= 0; k--) {
      const other = notes[line[k]!]!;
      if (other.grace || other.onsetTicks === note.onsetTicks) continue;
      if (other.slurStart && (other.slurred || from === undefined)) from = line[k]!;
      if (!other.slurred) break;
    }
    let to: number | undefined;
    for (let k = at; k < line.length && to === undefined; k++) {
      const other = notes[line[k]!]!;
      if (other.onsetTicks > note.onsetTicks && !other.slurred) break;
      if (other.slurStop) to = line[k]!;
    }
    if (from === undefined || to === undefined) return;
    found.push({ from, to });
    reachedTicks = notes[to]!.onsetTicks;
  });
  return found;
}

/**
 * Pairs the beginnings and ends of slurs in one part, by index into its notes in order of onset, those of one
 * voice first. An end without a beginning, or the reverse, is left out.
 */
export function pairSlurs(notes: readonly SlurNote[]): readonly SlurPair[] {
  const lines = Map.groupBy(notes.keys(), (i) => notes[i]!.line);
  const pairs: SlurPair[] = [];
  const looseStarts: number[] = [];
  const looseStops: number[] = [];
  for (const line of lines.values()) {
    const found = pairInLine(line, notes);
    for (const pair of found.pairs) pairs.push(pair);
    for (const start of found.starts) looseStarts.push(start);
    for (const stop of found.stops) looseStops.push(stop);
  }
  looseStarts.sort((a, b) => a - b);
  looseStops.sort((a, b) => a - b);
  for (const to of looseStops) {
    // A slur over the ties of one note, or one that ends in another voice.
    const own = looseStarts.indexOf(to);
    const at = own >= 0 && notes[to]!.endBarIndex > notes[to]!.barIndex
      ? own
      : looseStarts.findLastIndex((from) => isBefore(notes[from]!, notes[to]!));
    if (at >= 0) pairs.push({ from: looseStarts.splice(at, 1)[0]!, to });
    else {
      // An end shared with another slur: it reaches back to the last beginning of its own voice.
      const from = lines.get(notes[to]!.line)!.findLast((i) =>
        notes[i]!.slurStart && isBefore(notes[i]!, notes[to]!)
      );
      if (from !== undefined && notes[to]!.slurred) pairs.push({ from, to });
    }
  }
  for (const from of looseStarts) {
    const to = endInAnotherLine(from, lines.get(notes[from]!.line)!, notes);
    if (to !== undefined) pairs.push({ from, to });
  }
  for (const line of lines.values()) pairs.push(...outerSlurs(line, notes, pairs));
  return pairs;
}

/** Gives every slur a number that no other slur near it has; they come out in order of their beginnings. */
export function numberSlurs<P extends SlurPair>(
  notes: readonly SlurNote[],
  unsorted: readonly P[],
): readonly (P & { readonly number: number })[] {
  const pairs = [...unsorted].sort((a, b) => a.from - b.from || a.to - b.to);
  const lastOf: ({ line: string; onsetTicks: number; endTicks: number; barIndex: number } | undefined)[] = [];
  const result: (P & { readonly number: number })[] = [];
  for (const pair of pairs) {
    const { from, to } = pair;
    const start = notes[from]!;
    const end = notes[to]!;
    const isFree = (slot: number) => {
      const last = lastOf[slot];
      if (!last) return true;
      return last.line === start.line && start.line === end.line
        ? last.onsetTicks < start.onsetTicks && last.endTicks <= start.onsetTicks
        : last.barIndex < start.barIndex;
    };
    let slot = 0;
    while (slot < MOST_AT_ONCE && !isFree(slot)) slot++;
    if (slot === MOST_AT_ONCE) continue;
    const line = start.line === end.line ? start.line : "";
    lastOf[slot] = { line, onsetTicks: end.onsetTicks, endTicks: end.endTicks, barIndex: end.endBarIndex };
    result.push({ ...pair, number: slot + 1 });
  }
  return result;
}
