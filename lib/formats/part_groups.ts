/** Brackets in the margin of a score: one for each family, a thinner one for players of one instrument. */

/** A bracket over consecutive parts. */
export interface PartGroup {
  /** First part, index. */
  readonly from: number;
  /** Last part, inclusive. */
  readonly to: number;
  /** `bracket` for a family, `square` for desks of one instrument. */
  readonly symbol: "bracket" | "square";
}

/** Runs of two or more equal neighbours. */
function runs(labels: readonly string[], symbol: PartGroup["symbol"]): PartGroup[] {
  const found: PartGroup[] = [];
  let from = 0;
  for (let i = 1; i <= labels.length; i++) {
    if (labels[i] === labels[from]) continue;
    if (i - from > 1) found.push({ from, to: i - 1, symbol });
    from = i;
  }
  return found;
}

/**
 * Brackets for a list of parts in score order.
 *
 * @param parts family and instrument kind of each part
 * @returns groups, families first
 */
export function partGroups(
  parts: readonly { readonly family: string; readonly kind: string }[],
): readonly PartGroup[] {
  const families = runs(parts.map((p) => p.family), "bracket");
  const kinds = runs(parts.map((p) => `${p.family}:${p.kind}`), "square");
  const same = (a: PartGroup, b: PartGroup) => a.from === b.from && a.to === b.to;
  return [...families, ...kinds.filter((k) => !families.some((f) => same(f, k)))];
}
