/** Which parts do the same thing in a bar: same notes, or the same rhythm on other notes. */
import type { Note } from "../score/model.ts";
import type { Share } from "../units.ts";
import type { CellFeatures } from "./features.ts";
import { RULES } from "./rules.ts";

/** How two parts relate in one bar. */
export type Relation = "unison" | "rhythm" | "none";

/** Overlap from which two parts count as doing the same. */
export const SAME_FROM_SHARE: Share = 0.8;

/** Share of the onsets, and of the onset with pitch class, that two lines have in common. */
function overlaps(a: CellFeatures, b: CellFeatures): { readonly onsets: Share; readonly notes: Share } {
  const onsets = new Set(a.line.map((n) => n.onsetTicks));
  const notes = new Set(a.line.map(onsetAndPitchClass));
  let onsetsShared = 0;
  let notesShared = 0;
  for (const n of b.line) {
    if (onsets.has(n.onsetTicks)) onsetsShared++;
    if (notes.has(onsetAndPitchClass(n))) notesShared++;
  }
  const union = (shared: number) => a.line.length + b.line.length - shared;
  return {
    onsets: onsetsShared / Math.max(1, union(onsetsShared)),
    notes: notesShared / Math.max(1, union(notesShared)),
  };
}

/** One number for when a note begins and its pitch class; what has no pitch agrees only with its like. */
function onsetAndPitchClass(n: Note): number {
  const pitchClass = ((Math.round(n.soundingPitch) % 12) + 12) % 12;
  return n.onsetTicks * 13 + (n.unpitched ? 12 : pitchClass);
}

/**
 * How two parts relate in a bar: in unison or octaves (the same pitch classes at the same times), in the same
 * rhythm on other notes, or neither. Parts that begin nothing in the bar are related to nobody.
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
  const shared = overlaps(a, b);
  return shared.notes >= SAME_FROM_SHARE ? "unison" : shared.onsets >= SAME_FROM_SHARE ? "rhythm" : "none";
}

/**
 * For each part of a bar, the parts in unison or octaves with it, itself included. Bars of few notes are read
 * with their neighbours, in which the two must not part company.
 *
 * @param features of every bar and part, by bar, then part
 * @param bar index of the bar
 * @param parts number of parts
 * @returns for each part, the indexes of those that double it
 */
export function unisonGroups(
  features: readonly CellFeatures[],
  bar: number,
  parts: number,
): readonly (readonly number[])[] {
  const rowOf = (b: number) => features.slice(b * parts, (b + 1) * parts);
  const row = rowOf(bar);
  const neighbours = [bar - 1, bar + 1].filter((b) => b >= 0 && b * parts < features.length).map(rowOf);
  const together = (p: number, q: number) =>
    relationOf(row[p]!, row[q]!) === "unison" &&
    (row[p]!.line.length >= RULES.doublingFromNotes ||
      neighbours.every((near) =>
        near[p]!.line.length === 0 || near[q]!.line.length === 0 ||
        relationOf(near[p]!, near[q]!) === "unison"
      ));
  return row.map((_, p) => row.flatMap((_, q) => q === p || together(p, q) ? [q] : []));
}
