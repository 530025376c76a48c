/** Whether a bar strikes nowhere but where another does. */
import type { CellFeatures } from "./features.ts";

/**
 * How many strokes two bars have, the one that has fewer and the other, where all of the fewer stand in the same places from the bar
 * line as some of the other; undefined where they do not.
 */
export function strokesWithin(
  a: CellFeatures,
  b: CellFeatures,
): { readonly few: number; readonly many: number } | undefined {
  const [places, others] = [a, b].map(({ line, felt }) => line.map((n) => n.onsetTicks - felt.startTicks));
  const [few, many] = places!.length <= others!.length ? [places!, others!] : [others!, places!];
  return few.every((at) => many.includes(at)) ? { few: few.length, many: many.length } : undefined;
}
