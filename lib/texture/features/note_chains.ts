/** Chains of notes in one part: scales, winding lines, broken chords. */
import type { Note } from "../../score/model.ts";

/** For each note of a line, how many notes the longest chain of a kind that it belongs to has. */
export interface NoteChains {
  /** Steps of one or two semitones in one direction. */
  readonly scale: Int32Array;
  /** Steps of one or two semitones, turning at will. */
  readonly winding: Int32Array;
  /** Thirds to sixths in one direction. */
  readonly arpeggio: Int32Array;
  /** Leaps of a third or more, turning at will. */
  readonly leaping: Int32Array;
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

/** A line as notes of one pitch in a row. */
interface RepeatedNotes {
  readonly line: readonly Note[];
  readonly isApart: IsApart;
  /** Index of the first note of each pitch in a row, and the length of the line. */
  readonly starts: readonly number[];
}

function repeatedNotes(line: readonly Note[], isApart: IsApart): RepeatedNotes {
  const starts: number[] = [];
  for (let i = 0; i < line.length; i++) {
    if (i === 0 || isApart(i) || line[i]!.soundingPitch !== line[i - 1]!.soundingPitch) starts.push(i);
  }
  return { line, isApart, starts: [...starts, line.length] };
}

function lengthsOf({ line, isApart, starts }: RepeatedNotes, joins: Joins): Int32Array {
  const lengths = new Int32Array(line.length).fill(1);
  const groups = starts.length - 1;
  let first = 0;
  const close = (end: number) => {
    for (let i = starts[first]!; i < starts[end]!; i++) lengths[i] = Math.max(lengths[i]!, end - first);
  };
  let last = 0;
  for (let g = 1; g < groups; g++) {
    const at = starts[g]!;
    const interval = line[at]!.soundingPitch - line[at - 1]!.soundingPitch;
    const isFirst = isApart(at);
    if (!isFirst && joins(interval, last)) {
      last = interval;
      continue;
    }
    close(g);
    const begins = !isFirst && joins(interval, 0);
    first = begins ? g - 1 : g;
    last = begins ? interval : 0;
  }
  close(groups);
  return lengths;
}

/**
 * Chains a line's notes belong to. Repeated notes count once and do not break a chain; a silence does.
 *
 * @param line notes of one part, one at a time, in order
 * @param isApart which silences break a chain
 * @param kinds kinds of chains
 * @returns lengths of chains, note by note
 */
export function noteChains<Kind extends keyof NoteChains>(
  line: readonly Note[],
  isApart: IsApart,
  kinds: readonly Kind[],
): Pick<NoteChains, Kind> {
  const repeated = repeatedNotes(line, isApart);
  const chains = kinds.map((kind) => [kind, lengthsOf(repeated, JOINS[kind])]);
  return Object.fromEntries(chains) as Pick<NoteChains, Kind>;
}
