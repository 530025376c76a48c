/** What it costs to change the key. */
import type { Settings } from "../base/settings.ts";
import { KEYS, modeOf } from "./chord_space.ts";
import type { HARMONY_CONSTANTS } from "./harmony_constants.ts";

/** Costs, 0 or less, from key a to key b at a times all keys plus b. */
export function keyChanges(settings: Settings<typeof HARMONY_CONSTANTS>): Float64Array {
  return Float64Array.from({ length: KEYS * KEYS }, (_, i) => {
    const [from, to] = [Math.floor(i / KEYS), i % KEYS];
    if (from === to) return 0;
    return -(isNear(from, to) ? settings.nearKeyChange : settings.keyChange);
  });
}

/** A fifth up or down, the relative or the parallel key. */
function isNear(from: number, to: number): boolean {
  const up = ((to % 12) - (from % 12) + 12) % 12;
  if (modeOf(from) === modeOf(to)) return up === 7 || up === 5;
  return up === 0 || up === (modeOf(from) === 1 ? 3 : 9);
}
