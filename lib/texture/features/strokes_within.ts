/** Whether a bar strikes where another does. */
import type { CellFeatures } from "./features.ts";

/** How many strokes two bars have in the same places from the bar line. */
export function strokesInCommon(a: CellFeatures, b: CellFeatures): number {
  const step = a.felt.startTicks - b.felt.startTicks;
  let i = 0, j = 0, shared = 0;
  while (i < a.line.length && j < b.line.length) {
    const ahead = a.line[i]!.onsetTicks - b.line[j]!.onsetTicks - step;
    if (ahead === 0) shared++;
    if (ahead <= 0) i++;
    if (ahead >= 0) j++;
  }
  return shared;
}

/** Whether a bar is struck, and in the same places as another. */
export function isStruckAs(a: CellFeatures, b: CellFeatures): boolean {
  return a.line.length > 0 && a.line.length === b.line.length && strokesInCommon(a, b) === a.line.length;
}

/**
 * How many strokes two bars have, the one that has fewer and the other, where all of the fewer stand in the same places from the bar
 * line as some of the other; undefined where they do not.
 */
export function strokesWithin(
  a: CellFeatures,
  b: CellFeatures,
): { readonly few: number; readonly many: number } | undefined {
  const few = Math.min(a.line.length, b.line.length);
  return strokesInCommon(a, b) === few ? { few, many: Math.max(a.line.length, b.line.length) } : undefined;
}
