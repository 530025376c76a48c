/** Bars a chart is to show. */
import { InputError } from "../../base/errors.ts";
import type { Score } from "../../score/model.ts";

/** Bars from one to another. */
export interface AskedBars {
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
}

/** Refuses a span whose bars the score does not have, or whose first comes after the last. */
export function checkedSpan(
  score: Score,
  { chart, fromBarIndex, toBarIndex }: AskedBars & { readonly chart: string },
): void {
  const isBar = (b: number) => Number.isInteger(b) && b >= 0 && b < score.bars.length;
  if (isBar(fromBarIndex) && isBar(toBarIndex) && fromBarIndex <= toBarIndex) return;
  throw new InputError({
    action: `draw the ${chart}`,
    problem: `fromBarIndex ${fromBarIndex} to toBarIndex ${toBarIndex} is no span of bars of this score`,
    remedy: `Give indexes from 0 to ${score.bars.length - 1}, the first not after the last`,
  });
}
