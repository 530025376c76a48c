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

/** Whether a bar's only note is the stroke on the downbeat to which the roll of the bar before leads. */
export function endsRoll({ line, felt }: CellFeatures, before: CellFeatures | undefined): boolean {
  const roll = before?.line.at(-1);
  return line.length === 1 && line[0]!.tremoloSlashes === 0 && line[0]!.onsetTicks === felt.startTicks &&
    roll !== undefined && rollsOn(before!) && roll.onsetTicks + roll.durationTicks === felt.startTicks;
}
