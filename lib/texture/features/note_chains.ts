/** Chains of notes in one part: scales, winding lines, broken chords. */
import type { Note } from "../../score/model.ts";

/** For each note of a line, how many notes the longest chain of a kind that it belongs to has. */
export interface NoteChains {
  /** Steps of one or two semitones in one direction. */
  readonly scale: readonly number[];
  /** Steps of one or two semitones, turning at will. */
  readonly winding: readonly number[];
  /** Thirds to sixths in one direction. */
  readonly arpeggio: readonly number[];
  /** Leaps of a third or more, turning at will. */
  readonly leaping: readonly number[];
}

/** Whether an interval carries a chain on, given the last one; 0 at the start of a chain. */
type Joins = (interval: number, last: number) => boolean;

const isStep = (interval: number) => Math.abs(interval) <= 2;
const isLeap = (interval: number) => Math.abs(interval) >= 3;
const sameWay = (interval: number, last: number) => interval * last >= 0;

const JOINS: Readonly<Record<keyof NoteChains, Joins>> = {
  scale: (interval, last) => isStep(interval) && sameWay(interval, last),
  winding: (interval) => isStep(interval),
  arpeggio: (interval, last) => isLeap(interval) && Math.abs(interval) <= 9 && sameWay(interval, last),
  leaping: (interval) => isLeap(interval),
};

/** Whether silence parts a note of a line, by its index, from the note before it for good. */
export type IsApart = (index: number) => boolean;

/** Notes of one pitch in a row, from one index up to another. */
interface RepeatedNotes {
  readonly from: number;
  to: number;
  readonly pitch: number;
  /** Whether silence lies before it. */
  readonly isFirst: boolean;
}

function groupsOf(line: readonly Note[], isApart: IsApart): readonly RepeatedNotes[] {
  const groups: RepeatedNotes[] = [];
  let last: RepeatedNotes | undefined;
  for (let i = 0; i < line.length; i++) {
    const pitch = line[i]!.soundingPitch;
    const isFirst = i === 0 || isApart(i);
    if (last !== undefined && !isFirst && last.pitch === pitch) last.to = i + 1;
    else groups.push(last = { from: i, to: i + 1, pitch, isFirst });
  }
  return groups;
}

function lengthsOf(groups: readonly RepeatedNotes[], notes: number, joins: Joins): readonly number[] {
  const lengths = new Array<number>(notes).fill(1);
  let first = 0;
  const close = (end: number) => {
    for (let i = groups[first]?.from ?? 0; i < (groups[end - 1]?.to ?? 0); i++) {
      lengths[i] = Math.max(lengths[i]!, end - first);
    }
  };
  let last = 0;
  for (let g = 1; g < groups.length; g++) {
    const { pitch, isFirst } = groups[g]!;
    const interval = pitch - groups[g - 1]!.pitch;
    if (!isFirst && joins(interval, last)) {
      last = interval;
      continue;
    }
    close(g);
    const begins = !isFirst && joins(interval, 0);
    first = begins ? g - 1 : g;
    last = begins ? interval : 0;
  }
  close(groups.length);
  return lengths;
}

/**
 * Chains a line's notes belong to. Repeated notes count once and do not break a chain; a silence does.
 *
 * @param line notes of one part, one at a time, in order
 * @param isApart which silences break a chain
 * @returns lengths of chains, note by note
 */
export function noteChains(line: readonly Note[], isApart: IsApart): NoteChains {
  const groups = groupsOf(line, isApart);
  const of = (joins: Joins) => lengthsOf(groups, line.length, joins);
  return {
    scale: of(JOINS.scale),
    winding: of(JOINS.winding),
    arpeggio: of(JOINS.arpeggio),
    leaping: of(JOINS.leaping),
  };
}
