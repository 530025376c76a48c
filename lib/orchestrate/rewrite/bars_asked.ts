/** Bars as people name them, found in a score. */
import { InputError } from "../../base/errors.ts";
import type { Score } from "../../score/model.ts";
import { endOfBar } from "../../score/time.ts";
import type { Passage } from "../plan/plan.ts";
import type { Ticks } from "../../base/units.ts";

/** From bar to bar, as printed and inclusive; by default from the first of the score, to the last. */
export type BarsAsked = Partial<Pick<Passage, "fromBar" | "toBar">>;

/** Bars of a score: indexes, inclusive, and where they begin and end. */
export interface BarsFound {
  readonly fromBarIndex: number;
  readonly toBarIndex: number;
  readonly startTicks: Ticks;
  readonly endTicks: Ticks;
}

/**
 * The bars of a score that printed numbers mean; of several bars with one number the first.
 *
 * @throws {InputError} where the score has no such bar, or the last comes before the first
 */
export function barsAsked(
  score: Score,
  { fromBar, toBar }: BarsAsked,
  { action }: { readonly action: string },
): BarsFound {
  const indexOf = (bar: number | undefined, otherwise: number) => {
    if (bar === undefined) return otherwise;
    const found = score.bars.findIndex((b) => b.number === String(bar));
    if (found >= 0) return found;
    throw new InputError({
      action,
      problem: `there is no bar ${bar}`,
      where: { file: score.source },
      remedy: `Its bars are numbered ${score.bars[0]!.number} to ${score.bars.at(-1)!.number}`,
    });
  };
  const fromBarIndex = indexOf(fromBar, 0);
  const toBarIndex = indexOf(toBar, score.bars.length - 1);
  if (toBarIndex < fromBarIndex) {
    throw new InputError({
      action,
      problem: `bar ${toBar} comes before bar ${fromBar}`,
      where: { file: score.source },
      remedy: "Swap them",
    });
  }
  return barsBetween(score, { fromBarIndex, toBarIndex });
}

/** The bars of a score between two indexes, inclusive. */
export function barsBetween(
  score: Score,
  { fromBarIndex, toBarIndex }: Pick<BarsFound, "fromBarIndex" | "toBarIndex">,
): BarsFound {
  return {
    fromBarIndex,
    toBarIndex,
    startTicks: score.bars[fromBarIndex]!.startTicks,
    endTicks: endOfBar(score, toBarIndex),
  };
}

/** The same bars on a grid that many times as fine. */
export function finerBars({ startTicks, endTicks, ...indexes }: BarsFound, factor: number): BarsFound {
  return { ...indexes, startTicks: startTicks * factor, endTicks: endTicks * factor };
}
