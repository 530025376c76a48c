/** What each member of a bar adds to its momentum. */
import type { BarComponents, BarMomentum } from "./bar_momentum.ts";
import type { MomentumLayer } from "./momentum_results.ts";
import { EXACT_UP_TO, exactShares, shapleyShares } from "./shapley.ts";

/** What one member adds. */
type MemberShare = Pick<MomentumLayer, "contribution" | "contributionError" | "alone" | "takenAway">;

/** Shares a bar's momentum out between its members. */
export function barShares(
  bar: BarMomentum,
  members: number,
): { readonly whole: BarComponents; readonly shares: readonly MemberShare[] } {
  const everybody = 2 ** members - 1;
  const exact = members <= EXACT_UP_TO ? bar.all() : undefined;
  const valueOf = (subset: number) => exact === undefined ? bar.valueOf(subset) : exact.values[subset]!;
  const { shares, standardErrors } = exact === undefined
    ? shapleyShares(members, bar.valueOf)
    : exactShares(exact.values);
  const whole = exact?.whole ?? bar.componentsOf(everybody);
  return {
    whole,
    shares: shares.map((contribution, i) => ({
      contribution,
      contributionError: standardErrors[i]!,
      alone: valueOf(2 ** i),
      takenAway: whole.momentum - valueOf(everybody - 2 ** i),
    })),
  };
}
