/** Findings counted as a reader meets them: what several parts stumble over in the same bars counts once. */
import type { Severity } from "../../measures/playability/playability_results.ts";
import { SEVERITIES } from "../drawing/theme.ts";

type FindingCounts = { readonly [K in Severity]: number };

export function findingCounts(rows: readonly { readonly severity: Severity }[]): FindingCounts {
  const of = (severity: Severity) => rows.filter((r) => r.severity === severity).length;
  return { impossible: of("impossible"), risky: of("risky"), tiring: of("tiring"), note: of("note") };
}

/**
 * Counts in words, the worst first; notes, which ask for nothing, last: `1 impossible, 2 tiring, 3 to note`, or
 * `none`.
 */
export function countsInWords(counts: FindingCounts): string {
  const words = SEVERITIES.filter((s) => counts[s] > 0)
    .map((s) => `${counts[s]} ${s === "note" ? "to note" : s}`);
  return words.join(", ") || "none";
}
