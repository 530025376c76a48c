/** Which parts do the same thing in a bar: same notes, or the same rhythm on other notes. */
import type { Note } from "../score/model.ts";
import type { Share } from "../units.ts";
import type { CellFeatures } from "./features.ts";
import { common, onsetAndPitchClass } from "./overlaps.ts";

/** How two parts relate in one bar. */
export type Relation = "unison" | "rhythm" | "none";

/** Overlap of the onsets from which two parts share a rhythm. */
export const SAME_FROM_SHARE: Share = 0.8;

/** Likeness from which two parts go in unison or octaves. */
export const UNISON_FROM_SHARE: Share = 0.6;

/**
 * What makes two parts alike, and how much each counts; model assumption, chosen on the four movements of Beethoven
 * in coarse steps. Notes in common count most, in the bars around more than in the bar alone: a doubling is kept up,
 * a chord tone two parts meet on is not.
 */
const LIKENESS = { notes: 0.3, notesNearby: 0.7, onsetsNearby: 0.25, lengths: 0.2 } as const;

/** Share of all members that two ascending lists have in common. */
function overlap(a: readonly number[], b: readonly number[]): Share {
  const shared = common(a, b);
  return shared / Math.max(1, a.length + b.length - shared);
}

const onsetsOf = (notes: readonly Note[]) => notes.map((n) => n.onsetTicks);
const pitchesOf = (notes: readonly Note[]) => notes.map(onsetAndPitchClass);

/** How nearly two parts sound for the same time, shorter over longer. */
function lengthRatio(a: readonly Note[], b: readonly Note[]): Share {
  const [x, y] = [a, b].map((notes) => notes.reduce((sum, n) => sum + n.durationTicks, 0)) as [
    number,
    number,
  ];
  return Math.min(x, y) / Math.max(1, x, y);
}

/**
 * How alike two parts are in a bar, seen with the bars beside it: 1 for the same notes, in any octave, with the same
 * lengths.
 *
 * @param a features of one part
 * @param b features of the other, same bar
 * @returns 0 to 1; 0 where either begins nothing
 *
 * @example
 * ```ts
 * import { cellFeatures, demoScore, likenessOf } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const [first] = cellFeatures(demoScore());
 * assertEquals(likenessOf(first!, first!), 1);
 * ```
 */
export function likenessOf(a: CellFeatures, b: CellFeatures): Share {
  if (a.line.length === 0 || b.line.length === 0) return 0;
  const onsetsNearby = overlap(onsetsOf(a.nearby), onsetsOf(b.nearby));
  if (onsetsNearby === 0) return 0;
  const sum = LIKENESS.notes * overlap(pitchesOf(a.line), pitchesOf(b.line)) +
    LIKENESS.notesNearby * overlap(pitchesOf(a.nearby), pitchesOf(b.nearby)) +
    LIKENESS.onsetsNearby * onsetsNearby +
    LIKENESS.lengths * (lengthRatio(a.line, b.line) + lengthRatio(a.nearby, b.nearby)) / 2;
  return Math.min(
    1,
    sum / (LIKENESS.notes + LIKENESS.notesNearby + LIKENESS.onsetsNearby + LIKENESS.lengths),
  );
}

/**
 * How two parts relate in a bar: in unison or octaves (the same pitch classes at the same times, there and in the
 * bars beside it), in the same rhythm on other notes, or neither. Parts that begin nothing in the bar are related to
 * nobody.
 *
 * @param a features of one part
 * @param b features of the other, same bar
 * @returns the relation
 *
 * @example
 * ```ts
 * import { cellFeatures, demoScore, relationOf } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const [first] = cellFeatures(demoScore());
 * assertEquals(relationOf(first!, first!), "unison");
 * ```
 */
export function relationOf(a: CellFeatures, b: CellFeatures): Relation {
  if (a.line.length === 0 || b.line.length === 0) return "none";
  if (likenessOf(a, b) >= UNISON_FROM_SHARE) return "unison";
  return overlap(onsetsOf(a.line), onsetsOf(b.line)) >= SAME_FROM_SHARE ? "rhythm" : "none";
}
