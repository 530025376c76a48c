/** Rolls that lead into the next bar. */
import type { CellFeatures } from "../features/features.ts";

/**
 * Whether a bar has a roll that begins within it, and nothing but a stroke on the downbeat before.
 *
 * @param features what the part's notes look like
 * @returns true for a roll into the bar
 */
export function rollsOn({ line, felt }: CellFeatures): boolean {
  const roll = line.at(-1);
  return roll !== undefined && roll.tremoloSlashes > 0 && !roll.tremoloAlternates &&
    roll.onsetTicks > felt.originTicks &&
    line.slice(0, -1).every((n, i) => i === 0 && n.tremoloSlashes === 0 && n.onsetTicks === felt.originTicks);
}
