/** Brackets in the margin of a score: one for each family, a thinner one for players of one instrument. */

import type { PartGroup, Score } from "../../../score/model.ts";

/** A bracket over consecutive parts. */
interface MarginGroup {
  /** First part, index. */
  readonly from: number;
  /** Last part, inclusive. */
  readonly to: number;
  /** Sign; of our own `bracket` for a family, `square` for desks of one instrument. */
  readonly symbol: PartGroup["symbol"];
  readonly name?: string;
}

/** Runs of two or more equal neighbours. */
function runs(labels: readonly string[], symbol: "bracket" | "square"): MarginGroup[] {
  const found: MarginGroup[] = [];
  let from = 0;
  for (let i = 1; i <= labels.length; i++) {
    if (labels[i] === labels[from]) continue;
    if (i - from > 1) found.push({ from, to: i - 1, symbol });
    from = i;
  }
  return found;
}

/** Brackets for a list of parts in score order. */
export function partGroups(
  parts: readonly { readonly family: string; readonly kind: string }[],
): readonly MarginGroup[] {
  const families = runs(parts.map((p) => p.family), "bracket");
  const kinds = runs(parts.map((p) => `${p.family}:${p.kind}`), "square");
  const same = (a: MarginGroup, b: MarginGroup) => a.from === b.from && a.to === b.to;
  return [...families, ...kinds.filter((k) => !families.some((f) => same(f, k)))];
}

/**
 * The groups of two parts or more a source had, as far as their parts are still there and next to each other;
 * undefined where it had none.
 */
export function sourceGroups(score: Pick<Score, "parts" | "partGroups">): readonly MarginGroup[] | undefined {
  if (!score.partGroups) return undefined;
  const places = new Map(score.parts.map((p, i) => [p.id, i]));
  return score.partGroups.flatMap(({ parts, symbol, name }): MarginGroup[] => {
    const found = parts.map((id) => places.get(id)).filter((i) => i !== undefined).sort((a, b) => a - b);
    const [from, to] = [found[0], found.at(-1)];
    if (from === undefined || to === undefined || to - from !== parts.length - 1 || from === to) return [];
    return [{ from, to, symbol, ...(name === undefined ? {} : { name }) }];
  });
}
