/** What each member of a bar adds to its momentum. */
import type { BarMomentum } from "./bar_momentum.ts";
import { EXACT_UP_TO, exactShares, shapleyShares } from "./shapley.ts";

/** What one member adds. */
export interface MemberShare {
  /** Shapley value. */
  readonly contribution: number;
  /** Its standard error, 0 up to 12 members. */
  readonly contributionError: number;
  /** Momentum of the member alone. */
  readonly alone: number;
  /** What is lost without it. */
  readonly takenAway: number;
}

/**
 * Shares a bar's momentum out between its members.
 *
 * @param bar momentum of the bar's subsets
 * @param members how many there are
 * @returns one share per member
 */
export function barShares(bar: BarMomentum, members: number): readonly MemberShare[] {
  const isExact = members <= EXACT_UP_TO;
  const values = isExact ? bar.allValues() : undefined;
  const valueOf = (subset: number) => values === undefined ? bar.valueOf(subset) : values[subset]!;
  const { shares, standardErrors } = values === undefined
    ? shapleyShares(members, bar.valueOf)
    : exactShares(values);
  const everybody = 2 ** members - 1;
  const whole = valueOf(everybody);
  return shares.map((contribution, i) => ({
    contribution,
    contributionError: standardErrors[i]!,
    alone: valueOf(2 ** i),
    takenAway: whole - valueOf(everybody - 2 ** i),
  }));
}
