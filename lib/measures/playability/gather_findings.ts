/** Findings of several parts that say the same of the same bars, in one row. */
import { A_RECORD, checkArgument, listOf } from "../../base/arguments.ts";
import { isWorse } from "./gather_places.ts";
import type { PlayabilityFinding } from "./playability_results.ts";

/** One row for all the parts that stumble over the same thing in the same bars. */
export interface GatheredFinding extends Omit<PlayabilityFinding, "part" | "partName"> {
  /** Part indexes, in score order. */
  readonly parts: readonly number[];
  /** Part names in the same order. */
  readonly partNames: readonly string[];
  /** The part whose words and figures the row gives: the worst one. */
  readonly worstPart: number;
}

/** Findings share a row when they share this much of the longer one's bars. */
const SHARED_BARS = 0.5;

const FINDINGS = listOf(A_RECORD, "a list of findings");

/**
 * Gathers findings so that a large score reads as a page: those of one rule and severity that lie over the same
 * bars (at least half of the longer one) become one row, with the parts named together and the words and
 * figures of the worst. Notes out of range are gathered for instruments whose range ends alike.
 *
 * @param findings findings of one score, in any order
 * @returns the rows, in the order of each row's first finding
 *
 * @example
 * ```ts
 * import { demoScore, playability } from "ripieno";
 * import { gatherFindings } from "ripieno/measures";
 * import { assert } from "@std/assert";
 * const { findings } = playability(demoScore());
 * const rows = gatherFindings(findings);
 * assert(rows.length <= findings.length);
 * assert(rows.every((row) => row.parts.length === row.partNames.length));
 * ```
 */
export function gatherFindings(findings: readonly PlayabilityFinding[]): readonly GatheredFinding[] {
  checkArgument("gather findings", findings, FINDINGS);
  const rows: PlayabilityFinding[][] = [];
  for (const finding of findings) {
    const row = rows.find(([first]) =>
      first!.rule === finding.rule && first!.severity === finding.severity && isOneLimit(first!, finding) &&
      shared(first!, finding) >= SHARED_BARS
    );
    if (row) row.push(finding);
    else rows.push([finding]);
  }
  return rows.map((row): GatheredFinding => {
    const worst = row.reduce((a, b) => isWorse(b, a) ? b : a);
    const first = row.reduce((a, b) =>
      b.fromBarIndex < a.fromBarIndex || b.fromBarIndex === a.fromBarIndex && b.beat < a.beat ? b : a
    );
    const { part, partName: _name, ...rest } = worst;
    const named = new Map(row.toSorted((a, b) => a.part - b.part).map((f) => [f.part, f.partName]));
    return {
      ...rest,
      parts: [...named.keys()],
      partNames: [...named.values()],
      worstPart: part,
      fromBarIndex: first.fromBarIndex,
      toBarIndex: Math.max(...row.map((f) => f.toBarIndex)),
      bar: first.bar,
      beat: first.beat,
      places: row.reduce((sum, f) => sum + f.places, 0),
    };
  });
}

/** The ends of a range are an instrument's own, and so are the ways back into it: a horn's help no flute. */
function isOneLimit(a: PlayabilityFinding, b: PlayabilityFinding): boolean {
  return a.rule !== "range" || a.limit === b.limit;
}

/** Share of the longer one's bars that both cover. */
function shared(a: PlayabilityFinding, b: PlayabilityFinding): number {
  const both = Math.min(a.toBarIndex, b.toBarIndex) - Math.max(a.fromBarIndex, b.fromBarIndex) + 1;
  return both / (Math.max(a.toBarIndex - a.fromBarIndex, b.toBarIndex - b.fromBarIndex) + 1);
}
