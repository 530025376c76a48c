/** A score's study on one page: a row per passage, as printed by the command line and shown in the report. */
import { A_SCORE, A_STUDY, A_TEXTURE, checkArgument, checkOptions } from "../../base/arguments.ts";
import { mean } from "simple-statistics";
import { gatherFindings } from "../../measures/playability/gather_findings.ts";
import { roleInWords } from "../../texture/role_in_words.ts";
import { passagesOf } from "../../measures/passages/passages.ts";
import type { Study } from "../../measures/compare/study_results.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { toldApart } from "../../score/told_apart.ts";
import type { Texture } from "../../texture/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { findingCounts } from "./finding_counts.ts";
import { whoLeads } from "./who_leads.ts";

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
  /** Who leads it, in the order in which they come in, and in how many of its bars where it is not all. */
  readonly lead: string;
  /** Mean momentum over its time, driving attacks per second. */
  readonly momentum: number;
  /** Role that adds most to the momentum; trills, tremolos and rolls by what they are. */
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
 * @param options the texture that was measured by, where it is not the score's own
 * @returns rows in order
 * @throws {InputError} when an option is unknown, or the texture is another score's
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
export function summarise(
  study: Study,
  score: Score,
  options: { readonly texture?: Texture } = {},
): readonly SummaryRow[] {
  checkArgument("sum up the study", study, A_STUDY);
  checkArgument("sum up the study", score, A_SCORE);
  checkOptions("sum up the study", options, { texture: A_TEXTURE });
  const texture = givenTexture("sum up the study", score, options.texture);
  const gathered = gatherFindings(study.playability.findings);
  const named = toldApart(score);
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
        lead: whoLeads(named, texture, { fromBarIndex, toBarIndex }),
        momentum: meanOverTime(momentum.map((b) => b.momentum), momentum.map(secondsOfBar)),
        drivenBy: driver && driver.sum > 0 ? roleInWords(driver.role, inside(texture.cells), score) : "",
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
