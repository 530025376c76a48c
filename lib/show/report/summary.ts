/** A score's study on one page: a row per passage, as printed by the command line and shown in the report. */
import { A_SCORE, A_STUDY, checkArgument } from "../../base/arguments.ts";
import { mean } from "simple-statistics";
import { gatherFindings } from "../../measures/playability/gather_findings.ts";
import { passagesOf } from "../../measures/passages/passages.ts";
import type { Study } from "../../measures/compare/study_results.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { findingCounts } from "./finding_counts.ts";

/** One passage in a summary. */
export interface SummaryRow {
  /** Name of the passage, or its bars. */
  readonly passage: string;
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
  /** Printed numbers of the first and last bar, for example `17–24`. */
  readonly bars: string;
  /** Who leads most of it, and in how many of its bars, alone or with others, where it is not all. */
  readonly lead: string;
  /** Mean momentum over its time, driving attacks per second. */
  readonly momentum: number;
  /** Role that adds most to the momentum. */
  readonly drivenBy: string;
  /** Mean audible share of the lead, or null where nothing leads. */
  readonly leadAudible: number | null;
  /** Most bars since the last change that are reached in it: 0 in the bar that brings one. */
  readonly barsSinceChange: number;
  /** Findings called impossible that begin in it; what several parts share in the same bars counts once. */
  readonly impossible: number;
  /** Findings called risky. */
  readonly risky: number;
  /** Findings called tiring. */
  readonly tiring: number;
  /** Findings that are only worth a look. */
  readonly note: number;
}

/**
 * One row per passage: who leads, momentum and who drives it, whether the lead is heard, how stale it gets, what
 * players will stumble over.
 *
 * @param study the four measures
 * @param score the score they belong to
 * @returns rows in order
 *
 * @example
 * ```ts
 * import { demoScore, study } from "ripieno";
 * import { summarise } from "ripieno/show";
 * import { assertEquals } from "@std/assert";
 * const rows = summarise(study(demoScore()), demoScore());
 * assertEquals(rows.map((r) => r.passage).slice(0, 2), ["Calm water", "Quickening"]);
 * ```
 */
export function summarise(study: Study, score: Score): readonly SummaryRow[] {
  checkArgument("sum up the study", study, A_STUDY);
  checkArgument("sum up the study", score, A_SCORE);
  const gathered = gatherFindings(study.playability.findings);
  const clock = clockOf(score);
  const secondsOfBar = ({ barIndex }: { readonly barIndex: number }) => {
    const { startTicks, durationTicks } = score.bars[barIndex]!;
    return clock(startTicks + durationTicks) - clock(startTicks);
  };
  return passagesOf(score, { freshness: study.freshness }).map(
    ({ name, fromBarIndex, toBarIndex }): SummaryRow => {
      const inside = <T extends { readonly barIndex: number }>(rows: readonly T[]) =>
        rows.filter((r) => r.barIndex >= fromBarIndex && r.barIndex <= toBarIndex);
      const balance = inside(study.balance.perBar);
      const momentum = inside(study.momentum.perBar);
      const audible = balance.flatMap((b) => b.audibleShare === null ? [] : [b.audibleShare]);
      const roles = Map.groupBy(inside(study.momentum.perLayer), (l) => l.role);
      const driver = [...roles].map(([role, rows]) => ({
        role,
        sum: rows.reduce((a, r) => a + r.contribution * secondsOfBar(r), 0),
      }))
        .sort((a, b) => b.sum - a.sum)[0];
      const begun = gathered.filter((f) => f.fromBarIndex >= fromBarIndex && f.fromBarIndex <= toBarIndex);
      const [first, last] = [score.bars[fromBarIndex]!.number, score.bars[toBarIndex]!.number];
      const bars = fromBarIndex === toBarIndex ? first : `${first}–${last}`;
      return {
        passage: name === "" ? `${fromBarIndex === toBarIndex ? "bar" : "bars"} ${bars}` : name,
        fromBarIndex,
        toBarIndex,
        bars,
        lead: mainLead(balance.map((b) => b.lead)),
        momentum: meanOverTime(momentum.map((b) => b.momentum), momentum.map(secondsOfBar)),
        drivenBy: driver && driver.sum > 0 ? driver.role : "",
        leadAudible: meanOrNothing(audible),
        barsSinceChange: Math.max(0, ...inside(study.freshness.perBar).map((b) => b.barsSinceChange)),
        ...findingCounts(begun),
      };
    },
  );
}

/** Whether a row's passage has no name but its bars. */
export function isUnnamed({ passage, bars }: SummaryRow): boolean {
  return passage === `bar ${bars}` || passage === `bars ${bars}`;
}

function meanOrNothing(values: number[]): number | null {
  return values.length === 0 ? null : mean(values);
}

/** The mean over time, as momentum has it over the whole. */
function meanOverTime(values: readonly number[], seconds: readonly number[]): number {
  const total = seconds.reduce((a, b) => a + b, 0);
  return total > 0 ? values.reduce((sum, value, i) => sum + value * seconds[i]!, 0) / total : 0;
}

/** The parts that lead most bars, and in how many of the passage's bars they do. */
function mainLead(leads: readonly string[]): string {
  const counts = new Map<string, number>();
  for (const names of leads) {
    for (const n of names.split(" + ")) if (n !== "") counts.set(n, (counts.get(n) ?? 0) + 1);
  }
  const [most] = [...counts.values()].sort((a, b) => b - a);
  if (most === undefined) return "nobody";
  const main = [...counts].filter(([, c]) => c >= 0.75 * most).sort((a, b) => b[1] - a[1]);
  const named = main.length > 3 ? main.slice(0, 2) : main;
  const more = main.length > named.length ? ` + ${main.length - named.length} more` : "";
  const [, least] = named.at(-1)!;
  if (least === leads.length) return named.map(([name]) => name).join(" + ") + more;
  const shown = named.map(([name, count]) => count === least ? name : `${name} (${count})`).join(" + ");
  return `${shown} (${least} of ${leads.length} bars)${more}`;
}
