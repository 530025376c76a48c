/** For how long a player may be silent before being told again what holds. */
import type { Score } from "./model.ts";
import { barIndexOf, fullBarTicks } from "./time.ts";
import type { Ticks } from "../base/units.ts";

/** Bars of silence after which a mark, or who plays, is printed again. Common practice, no source. */
const SILENT_BARS = 4;

/** Whether a silence is so long, counted in full bars of the metre in which it begins: an upbeat is no bar. */
export function isLongSilence(
  score: Pick<Score, "bars" | "ticksPerQuarter">,
  { fromTicks, toTicks }: { readonly fromTicks: Ticks; readonly toTicks: Ticks },
): boolean {
  const bar = score.bars[barIndexOf(score, fromTicks)];
  return bar !== undefined && toTicks - fromTicks >= SILENT_BARS * fullBarTicks(bar, score.ticksPerQuarter);
}
