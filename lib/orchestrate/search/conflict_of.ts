/** Which wishes cannot be had together. */
import type { Limit } from "./choose_scorings.ts";

/** A wish that must be met: which scorings it allows, and which sums it limits. */
export interface Must {
  readonly words: string;
  /** Whether it allows a scoring of a passage. */
  readonly allows: (passage: number, scoring: number) => boolean;
  readonly limits: readonly Limit[];
}

/** Most wishes that are looked for together before they are taken away one by one instead. */
const MOST_TOGETHER = 3;

/**
 * The fewest wishes that cannot be had together: by size up to three; where it takes more, what is left when every wish
 * without which it would still be impossible has been taken away. Empty where all can be had.
 */
export function conflictOf(
  musts: readonly Must[],
  isPossible: (musts: readonly Must[]) => boolean,
): readonly Must[] {
  if (isPossible(musts)) return [];
  for (let size = 1; size <= Math.min(MOST_TOGETHER, musts.length); size++) {
    const found = groupsOf(musts, size).find((group) => !isPossible(group));
    if (found) return found;
  }
  return musts.reduce<readonly Must[]>((left, must) => {
    const without = left.filter((m) => m !== must);
    return isPossible(without) ? left : without;
  }, musts);
}

/** All groups of so many, in order. */
function groupsOf<T>(list: readonly T[], size: number): readonly (readonly T[])[] {
  if (size === 0) return [[]];
  return list.flatMap((one, i) => groupsOf(list.slice(i + 1), size - 1).map((rest) => [one, ...rest]));
}
