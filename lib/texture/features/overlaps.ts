/** Which parts of a bar do the same, read with the bars beside it: in unison or octaves, or in one rhythm. */
import { pitchClassOf } from "../../base/modulo.ts";
import type { Note } from "../../score/model.ts";
import type { Share } from "../../base/units.ts";
import { type CellFeatures, distinctIn } from "./features.ts";
import { strokesInCommon } from "./strokes_within.ts";
import type { ScoreFrame } from "./score_frame.ts";

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
function common(a: readonly number[], b: readonly number[]): number {
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

/** Share that members in common are of all members of two lists. */
function shareOf(shared: number, a: readonly unknown[], b: readonly unknown[]): Share {
  return shared / Math.max(1, a.length + b.length - shared);
}

/** Share of all members that two ascending lists have in common. */
export function overlap(a: readonly number[], b: readonly number[]): Share {
  return shareOf(common(a, b), a, b);
}

/** Counts the notes that each two parts of a bar have in common, by pair, the part that comes first first. */
function countCommon(
  bar: readonly CellFeatures[],
  knownBy: (note: Note) => number,
  into: Int32Array,
): void {
  into.fill(0);
  const holders = new Map<number, number[]>();
  bar.forEach(({ line }, q) => {
    for (const note of line) {
      const known = knownBy(note);
      const before = holders.get(known);
      if (before === undefined) {
        holders.set(known, [q]);
        continue;
      }
      for (const p of before) into[p * bar.length + q]!++;
      before.push(q);
    }
  });
}

/**
 * The companions of every part in every bar.
 *
 * @param score the score
 * @param features features of the same score
 * @returns companions by cell
 */
export function companionsOf(score: ScoreFrame, features: readonly CellFeatures[]): Companions {
  const parts = score.parts.length;
  const cells = features.length;
  const unison: number[][] = features.map(() => []);
  const rhythm: number[][] = features.map(() => []);
  const mostRhythm = new Float64Array(cells);
  // Common notes of each pair in the bar, kept for the three bars in view: by pair within the bar.
  const pairs = parts * parts;
  const view = [new Int32Array(pairs), new Int32Array(pairs), new Int32Array(pairs)];
  const begunTogether = new Int32Array(pairs);
  countCommon(features.slice(0, parts), onsetAndPitchClass, view[2]!);
  for (let bar = 0; bar < score.bars.length; bar++) {
    view.push(view.shift()!);
    const at = bar * parts;
    countCommon(features.slice(at + parts, at + 2 * parts), onsetAndPitchClass, view[2]!);
    countCommon(features.slice(at, at + parts), (n) => n.onsetTicks, begunTogether);
    for (let p = 0; p < parts; p++) {
      for (let q = p + 1; q < parts; q++) {
        const together = begunTogether[p * parts + q]!;
        if (together === 0) continue;
        const i = at + p, j = at + q;
        const a = features[i]!, b = features[j]!;
        const sameOnsets = shareOf(together, a.line, b.line);
        if (sameOnsets < 0.1) continue;
        const inBar = view[1]![p * parts + q]!;
        const here = shareOf(inBar, a.line, b.line);
        const shared = view[0]![p * parts + q]! + inBar + view[2]![p * parts + q]!;
        const all = a.nearby.length + b.nearby.length;
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
  return { unison, rhythm, mostRhythm, ...asBefore(features, parts) };
}

/** How far every part goes on in the rhythm and on the pitches of its bar before. */
function asBefore(
  features: readonly CellFeatures[],
  parts: number,
): Pick<Companions, "rhythmAsBefore" | "pitchesAsBefore"> {
  const rhythmAsBefore = new Float64Array(features.length);
  const pitchesAsBefore = new Float64Array(features.length);
  const pitches = features.map((f) => distinctIn(f.line, (n) => n.soundingPitch));
  for (let i = parts; i < features.length; i++) {
    if (features[i]!.line.length === 0) continue;
    const before = i - parts;
    const struck = strokesInCommon(features[i]!, features[before]!);
    rhythmAsBefore[i] = shareOf(struck, features[i]!.line, features[before]!.line);
    const kept = pitches[i]!.filter((pitch) => pitches[before]!.includes(pitch)).length;
    pitchesAsBefore[i] = shareOf(kept, pitches[i]!, pitches[before]!);
  }
  return { rhythmAsBefore, pitchesAsBefore };
}
