/** Findings counted as a reader meets them: what several parts stumble over in the same bars counts once. */
import { compare } from "../measures/compare.ts";
import { gatherFindings } from "../measures/gather_findings.ts";
import type { ComparisonRow, Severity, Study } from "../measures/results.ts";
import { SEVERITIES } from "./theme.ts";

/** How many findings of each severity there are. */
export type FindingCounts = { readonly [K in Severity]: number };

/**
 * Counts findings by severity.
 *
 * @param rows findings, of single parts or gathered
 * @returns counts
 */
export function findingCounts(rows: readonly { readonly severity: Severity }[]): FindingCounts {
  const of = (severity: Severity) => rows.filter((r) => r.severity === severity).length;
  return { impossible: of("impossible"), risky: of("risky"), tiring: of("tiring"), note: of("note") };
}

/**
 * Counts in words, the worst first; notes, which ask for nothing, last.
 *
 * @param counts how many of each
 * @returns for example `1 impossible, 2 tiring, 3 to note`; `none` where there are none
 */
export function countsInWords(counts: FindingCounts): string {
  const words = SEVERITIES.filter((s) => counts[s] > 0)
    .map((s) => `${counts[s]} ${s === "note" ? "to note" : s}`);
  return words.join(", ") || "none";
}

/**
 * Studies side by side, their findings gathered.
 *
 * @param studies the studies
 * @returns a row each
 */
export function comparedRows(studies: readonly Study[]): readonly ComparisonRow[] {
  return compare(studies).map((row, i) => {
    const { note: _note, ...counts } = findingCounts(gatherFindings(studies[i]!.playability.findings));
    return { ...row, ...counts };
  });
}
