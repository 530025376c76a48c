/** For how long a player may be silent before being told again what holds. */
import type { Score } from "./model.ts";
import type { Ticks } from "../base/units.ts";

/** Bars of silence after which a mark, or who plays, is printed again. Common practice, no source. */
export const SILENT_BARS = 4;

/** The same in ticks, by the length of the first bar. */
export function silenceTicks({ bars }: Pick<Score, "bars">): Ticks {
  return SILENT_BARS * (bars[0]?.durationTicks ?? 0);
}
