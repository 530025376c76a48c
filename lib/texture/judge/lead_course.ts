/** Who leads along the way: the likeliest course of the lead through the bars. */
import type { Evidence } from "../clues/evidence.ts";
import { logShares } from "./weights.ts";

/** What switching the lead from one part to another costs, in the units of the lead model (natural logarithms). */
export const HAND_OVER_COST = 1.5;

/** What it takes from a part that does nothing but fill in a figure, in the same units. Model assumption. */
export const PLAIN_COST = 2;

/** Least logarithm that is reckoned with. */
export const FLOOR = -6;

/** Who leads: in each bar the logarithm of every part's share, and the part of the likeliest course of the lead. */
export interface LeadCourse {
  /** Per cell, logarithm of the part's share in its bar. */
  readonly shares: Float64Array;
  /** Per bar, the part, or -1 where none of definite pitch sounds. */
  readonly course: readonly number[];
}

/** The likeliest course of the lead through the bars, where every hand-over costs (Viterbi 1967). */
export function leadCourse(saliences: Float64Array, { scene, pitched, plain }: Evidence): LeadCourse {
  const { parts, sounds } = scene;
  const values = saliences.map((x, i) => plain[i] ? x - PLAIN_COST : x);
  const bars = parts === 0 ? 0 : values.length / parts;
  const shares = new Float64Array(values.length).fill(FLOOR);
  const from: Int32Array[] = [];
  let reached = new Float64Array(parts);
  const silent: boolean[] = [];
  for (let b = 0; b < bars; b++) {
    const here = Array.from({ length: parts }, (_, p) => b * parts + p).filter((i) =>
      sounds[i] && pitched[i]
    );
    silent.push(here.length === 0);
    logShares(here.map((i) => values[i]!)).forEach((x, k) => shares[here[k]!] = x);
    let best = 0;
    for (let p = 1; p < parts; p++) if (reached[p]! > reached[best]!) best = p;
    const next = new Float64Array(parts);
    const origin = new Int32Array(parts);
    for (let p = 0; p < parts; p++) {
      const i = b * parts + p;
      const change = b > 0 && reached[best]! - HAND_OVER_COST > reached[p]!;
      origin[p] = change ? best : p;
      next[p] = (change ? reached[best]! - HAND_OVER_COST : reached[p]!) +
        (here.length === 0 ? 0 : sounds[i] && pitched[i] ? shares[i]! : -30);
    }
    from.push(origin);
    reached = next;
  }
  const course = new Array<number>(bars);
  let at = reached.reduce((best, x, p) => x > reached[best]! ? p : best, 0);
  for (let b = bars - 1; b >= 0; b--) {
    course[b] = silent[b] ? -1 : at;
    at = from[b]![at]!;
  }
  return { shares: shares.map((x) => Math.max(FLOOR, x)), course };
}
