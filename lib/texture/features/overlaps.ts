/** Which parts of a bar do the same, read with the bars beside it: in unison or octaves, or in one rhythm. */
import { pitchClassOf } from "../../base/modulo.ts";
import { areSameNumbers } from "../../base/same_numbers.ts";
import type { Note, Score } from "../../score/model.ts";
import type { Share } from "../../base/units.ts";
import type { CellFeatures } from "./features.ts";

/** Companions of every cell; a cell is one part in one bar, at bar × parts + part. */
export interface Companions {
  /** For each cell, the cells of its bar in unison or octaves with it. */
  readonly unison: readonly (readonly number[])[];
  /** For each cell, the cells of its bar in the same rhythm on other notes. */
  readonly rhythm: readonly (readonly number[])[];
  /** Greatest share of onsets in common with a part that is not in unison. */
  readonly mostRhythm: Float64Array;
  /** How far a part's rhythm is that of its bar before. */
  readonly rhythmAsBefore: Float64Array;
  /** How far a part's pitches are those of its bar before. */
  readonly pitchesAsBefore: Float64Array;
}

/** Mean of the overlaps in the bar and around it from which two parts go in unison. Model assumption. */
const UNISON_FROM: Share = 0.55;
/** Overlap of the onsets from which two parts share a rhythm. Model assumption. */
const RHYTHM_FROM: Share = 0.8;

/** One number for when a note begins and its pitch class; what has no pitch agrees only with its like. */
export function onsetAndPitchClass(
  n: Pick<Note, "onsetTicks" | "soundingPitch" | "unpitched">,
): number {
  return n.onsetTicks * 13 + (n.unpitched ? 12 : pitchClassOf(n.soundingPitch));
}

/** Members two ascending lists have in common. */
export function common(a: readonly number[], b: readonly number[]): number {
  let i = 0, j = 0, shared = 0;
  while (i < a.length && j < b.length) {
    const x = a[i]!, y = b[j]!;
    if (x < y) i++;
    else if (y < x) j++;
    else {
      shared++;
      i++;
      j++;
    }
  }
  return shared;
}

/** Share of all members that two lists have in common. */
function overlap(a: readonly number[], b: readonly number[]): Share {
  const shared = common(a, b);
  return shared / Math.max(1, a.length + b.length - shared);
}

/** For each list the first that is the same, itself where none is before it; -1 for those without members. Many parts share a list. */
function firstAlike(lists: readonly (readonly number[])[]): readonly number[] {
  const first: number[] = [];
  return lists.map((list, p) => {
    if (list.length === 0) return -1;
    const known = first.find((q) => areSameNumbers(lists[q]!, list));
    if (known === undefined) first.push(p);
    return known ?? p;
  });
}

/** Writes a figure for each two lists of a bar that have members, by pair; each two different lists are held together once. */
function writePairs(
  into: Float64Array | Int32Array,
  lists: readonly (readonly number[])[],
  of: (a: readonly number[], b: readonly number[]) => number,
): void {
  const parts = lists.length;
  const firstOf = firstAlike(lists);
  for (let p = 0; p < parts; p++) {
    for (let q = p; q < parts; q++) {
      if (firstOf[p] === p && firstOf[q] === q) into[p * parts + q] = of(lists[p]!, lists[q]!);
    }
  }
  for (let p = 0; p < parts; p++) {
    const a = firstOf[p]!;
    if (a < 0) continue;
    for (let q = p + 1; q < parts; q++) {
      const b = firstOf[q]!;
      if (b >= 0) into[p * parts + q] = a < b ? into[a * parts + b]! : into[b * parts + a]!;
    }
  }
}

/**
 * The companions of every part in every bar.
 *
 * @param score the score
 * @param features features of the same score
 * @returns companions by cell
 */
export function companionsOf(score: Score, features: readonly CellFeatures[]): Companions {
  const parts = score.parts.length;
  const cells = features.length;
  const onsets = features.map((f) => f.line.map((n) => n.onsetTicks));
  const notes = features.map((f) => f.line.map(onsetAndPitchClass));
  const unison: number[][] = features.map(() => []);
  const rhythm: number[][] = features.map(() => []);
  const mostRhythm = new Float64Array(cells);
  // Common notes of each pair in the bar, kept for the three bars in view: by pair within the bar.
  const pairs = parts * parts;
  const view = [new Int32Array(pairs), new Int32Array(pairs), new Int32Array(pairs)];
  const overlaps = new Float64Array(pairs);
  /** Notes of each part in its bar and those beside it. */
  const around = notes.map((own, i) =>
    own.length + (notes[i - parts]?.length ?? 0) + (notes[i + parts]?.length ?? 0)
  );
  countCommon(notes.slice(0, parts), view[2]!);
  for (let b = 0; b < score.bars.length; b++) {
    view.push(view.shift()!);
    const at = b * parts;
    countCommon(notes.slice(at + parts, at + 2 * parts), view[2]!);
    writePairs(overlaps, onsets.slice(at, at + parts), overlap);
    for (let p = 0; p < parts; p++) {
      if (onsets[at + p]!.length === 0) continue;
      for (let q = p + 1; q < parts; q++) {
        const i = at + p, j = at + q;
        if (onsets[j]!.length === 0) continue;
        const sameOnsets = overlaps[p * parts + q]!;
        if (sameOnsets < 0.1) continue;
        const inBar = view[1]![p * parts + q]!;
        const here = inBar / Math.max(1, notes[i]!.length + notes[j]!.length - inBar);
        const shared = view[0]![p * parts + q]! + inBar + view[2]![p * parts + q]!;
        const all = around[i]! + around[j]!;
        if ((here + shared / Math.max(1, all - shared)) / 2 >= UNISON_FROM) {
          unison[i]!.push(j);
          unison[j]!.push(i);
          continue;
        }
        mostRhythm[i] = Math.max(mostRhythm[i]!, sameOnsets);
        mostRhythm[j] = Math.max(mostRhythm[j]!, sameOnsets);
        if (sameOnsets >= RHYTHM_FROM) {
          rhythm[i]!.push(j);
          rhythm[j]!.push(i);
        }
      }
    }
  }
  return { unison, rhythm, mostRhythm, ...asBefore(score, features) };
}

/** Counts the notes that each two parts of a bar have in common, none where there are none. */
function countCommon(notes: readonly (readonly number[])[], into: Int32Array): void {
  into.fill(0);
  writePairs(into, notes, common);
}

/** How far every part goes on in the rhythm and on the pitches of its bar before. */
function asBefore(
  { bars, parts: { length: parts } }: Score,
  features: readonly CellFeatures[],
): Pick<Companions, "rhythmAsBefore" | "pitchesAsBefore"> {
  const rhythmAsBefore = new Float64Array(features.length);
  const pitchesAsBefore = new Float64Array(features.length);
  const relative = features.map((f) => f.line.map((n) => n.onsetTicks - bars[f.barIndex]!.startTicks));
  const pitches = features.map((f) => [...new Set(f.line.map((n) => n.soundingPitch))].sort((a, b) => a - b));
  for (let i = parts; i < features.length; i++) {
    if (features[i]!.line.length === 0) continue;
    rhythmAsBefore[i] = overlap(relative[i]!, relative[i - parts]!);
    pitchesAsBefore[i] = overlap(pitches[i]!, pitches[i - parts]!);
  }
  return { rhythmAsBefore, pitchesAsBefore };
}
