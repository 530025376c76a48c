/** Bars a chart is to show. */
import { InputError } from "../../base/errors.ts";
import type { Score } from "../../score/model.ts";

/** Bars from one to another. */
export interface AskedBars {
  /** First bar, index from 0. */
  readonly fromBar: number;
  /** Last bar, inclusive. */
  readonly toBar: number;
}

/**
 * Checks that a score has the bars a chart is to show.
 *
 * @param score the score
 * @param span name of the chart, first and last bar
 * @throws {InputError} when it has not, or the first comes after the last
 */
export function checkedSpan(
  score: Score,
  { chart, fromBar, toBar }: AskedBars & { readonly chart: string },
): void {
  const isBar = (b: number) => Number.isInteger(b) && b >= 0 && b < score.bars.length;
  if (isBar(fromBar) && isBar(toBar) && fromBar <= toBar) return;
  throw new InputError({
    action: `draw the ${chart}`,
    problem: `fromBar ${fromBar} to toBar ${toBar} is no span of bars of this score`,
    remedy: `Give indexes from 0 to ${score.bars.length - 1}, the first not after the last`,
  });
}
