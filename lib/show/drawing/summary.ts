/** A score's study on one page: a row per passage, as printed by the command line and shown in the report. */
import { A_SCORE, A_STUDY, checkArgument } from "../../base/arguments.ts";
import { mean } from "simple-statistics";
import { gatherFindings } from "../../measures/playability/gather_findings.ts";
import type { Study } from "../../measures/compare/study_results.ts";
import type { Score } from "../../score/model.ts";
import { findingCounts } from "./finding_counts.ts";

/** One passage in a summary. */
export interface SummaryRow {
  /** Name of the passage, or its bars. */
  readonly passage: string;
  /** First bar, index from 0. */
  readonly fromBar: number;
  /** Last bar, inclusive. */
  readonly toBar: number;
  /** Printed numbers of the first and last bar, for example `17–24`. */
  readonly bars: string;
  /** Who leads most of it, with the share of bars where others lead too. */
  readonly lead: string;
  /** Mean momentum, driving attacks per second. */
  readonly momentum: number;
  /** Role that adds most to the momentum. */
  readonly drivenBy: string;
  /** Mean audible share of the lead, or null where nothing leads. */
  readonly leadAudible: number | null;
  /** Most bars since the last change that are reached in it. */
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

/** Rows a summary has at most where the score names no passages. */
const MOST_ROWS = 16;
/** Passages are cut in multiples of this many bars where the score names none. */
const PHRASE_BARS = 8;

/** A span of bars with its name, which may be empty. */
interface NamedPassage {
  readonly name: string;
  readonly fromBar: number;
  readonly toBar: number;
}

/**
 * Cuts a score into passages: those of its plan where it was written from one; otherwise at its rehearsal marks;
 * otherwise, or where the one mark stands at the beginning, into equal spans of a multiple of eight bars, sixteen at
 * most.
 *
 * @param score the score
 * @returns name, first and last bar of each passage, bar indexes from 0
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { passagesOf } from "ripieno/show";
 * import { assertEquals } from "@std/assert";
 * assertEquals(passagesOf(demoScore())[2], { name: "Rapids", fromBar: 16, toBar: 23 });
 * ```
 */
export function passagesOf(
  score: Score,
): readonly { readonly name: string; readonly fromBar: number; readonly toBar: number }[] {
  checkArgument("find the passages", score, A_SCORE);
  const planned = plannedPassages(score);
  if (planned.length > 0) return planned;
  const count = score.bars.length;
  const marked = score.bars.flatMap((b, i) => b.rehearsal === undefined ? [] : [i]);
  if (marked.some((bar) => bar > 0)) return passagesAt([0, ...marked], score);
  const step = PHRASE_BARS * Math.max(1, Math.ceil(count / PHRASE_BARS / MOST_ROWS));
  // A tail shorter than half a step belongs to the passage before.
  const spans = Array.from({ length: Math.max(1, Math.round(count / step)) }, (_, i) => i * step);
  return passagesAt(spans, score).map((p, _, all) => all.length > 1 ? { ...p, name: "" } : p);
}

/** Passages that begin at these bars, named by their marks. */
function passagesAt(bars: readonly number[], score: Score): readonly NamedPassage[] {
  const starts = [...new Set(bars)].filter((bar) => bar < score.bars.length);
  return starts.map((fromBar, i) => ({
    name: score.bars[fromBar]!.rehearsal ?? "",
    fromBar,
    toBar: (starts[i + 1] ?? score.bars.length) - 1,
  }));
}

/** The passages of the plan a score was written from, with bars that no row covers between them. */
function plannedPassages(score: Score): readonly NamedPassage[] {
  const layers = score.layers ?? [];
  if (layers.length === 0) return [];
  const count = score.bars.length;
  const begins = new Set(layers.map((l) => l.fromBar));
  const starts = [...new Set([0, ...begins, ...layers.map((l) => l.toBar + 1)])]
    .filter((bar) => bar < count).sort((a, b) => a - b);
  const nameAt = (bar: number) => {
    const around = layers.filter((l) => l.fromBar <= bar && l.toBar >= bar);
    return around.reduce((best, l) => l.fromBar >= best.fromBar ? l : best, { fromBar: -1, passage: "" })
      .passage;
  };
  const passages: NamedPassage[] = [];
  starts.forEach((fromBar, i) => {
    const passage = { name: nameAt(fromBar), fromBar, toBar: (starts[i + 1] ?? count) - 1 };
    const before = passages.at(-1);
    // A row that ends while the passage around it goes on begins no passage.
    if (before && before.name === passage.name && !begins.has(fromBar)) {
      passages[passages.length - 1] = { ...before, toBar: passage.toBar };
    } else passages.push(passage);
  });
  return passages;
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
  return passagesOf(score).map(({ name, fromBar, toBar }): SummaryRow => {
    const inside = <T extends { readonly bar: number }>(rows: readonly T[]) =>
      rows.filter((r) => r.bar >= fromBar && r.bar <= toBar);
    const balance = inside(study.balance.perBar);
    const momentum = inside(study.momentum.perBar);
    const audible = balance.flatMap((b) => b.audibleShare === null ? [] : [b.audibleShare]);
    const roles = Map.groupBy(inside(study.momentum.perLayer), (l) => l.role);
    const driver = [...roles].map(([role, rows]) => ({
      role,
      sum: rows.reduce((a, r) => a + r.contribution, 0),
    }))
      .sort((a, b) => b.sum - a.sum)[0];
    const begun = gathered.filter((f) => f.fromBar >= fromBar && f.fromBar <= toBar);
    const [first, last] = [score.bars[fromBar]!.number, score.bars[toBar]!.number];
    const bars = fromBar === toBar ? first : `${first}–${last}`;
    return {
      passage: name === "" ? `${fromBar === toBar ? "bar" : "bars"} ${bars}` : name,
      fromBar,
      toBar,
      bars,
      lead: mainLead(balance.map((b) => b.lead)),
      momentum: meanOrNothing(momentum.map((b) => b.momentum)) ?? 0,
      drivenBy: driver && driver.sum > 0 ? driver.role : "",
      leadAudible: meanOrNothing(audible),
      barsSinceChange: Math.max(0, ...inside(study.freshness.perBar).map((b) => b.barsSinceChange)),
      ...findingCounts(begun),
    };
  });
}

/** Whether a row's passage has no name but its bars. */
export function isUnnamed({ passage, bars }: SummaryRow): boolean {
  return passage === `bar ${bars}` || passage === `bars ${bars}`;
}

function meanOrNothing(values: number[]): number | null {
  return values.length === 0 ? null : mean(values);
}

/** The parts that lead most bars, and in how many of the passage's bars they do. */
function mainLead(leads: readonly string[]): string {
  const counts = new Map<string, number>();
  for (const names of leads) {
    for (const n of names.split(" + ")) if (n !== "") counts.set(n, (counts.get(n) ?? 0) + 1);
  }
  const [most] = [...counts.values()].sort((a, b) => b - a);
  if (most === undefined) return "nobody";
  const main = [...counts].filter(([, c]) => c >= 0.75 * most).map(([n]) => n);
  const shown = main.length > 3
    ? `${main.slice(0, 2).join(" + ")} + ${main.length - 2} more`
    : main.join(" + ");
  return most === leads.length ? shown : `${shown} (${most} of ${leads.length} bars)`;
}
