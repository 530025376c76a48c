/** Scores with many bars and few notes, and with few bars that are very long. */
import type { Score } from "ripieno";
import { smallScore } from "./small_scores.ts";

/**
 * A score of three parts that play twenty notes each, far apart.
 *
 * @param bars how many bars of 4/4
 * @returns the score, its texture not given
 */
export function nearlyEmpty(bars: number): Score {
  const onsets = Array.from({ length: 20 }, (_, i) => Math.floor((bars - 1) * i / 19) * 4);
  return smallScore(
    ["flute", "horn in F", "cello"].map((instrument, p) => ({
      instrument,
      role: "lead",
      notes: onsets.map((at) => ({ at, quarters: 1, pitch: 72 - 12 * p })),
    })),
    { bars, written: false },
  );
}

/**
 * A score of one part with a quarter note at the beginning of each bar.
 *
 * @param bars how many bars
 * @param metre time signature
 * @returns the score, its texture not given
 */
export function longBars(
  bars: number,
  metre: { readonly beats: number; readonly beatUnit: number },
): Score {
  const quarters = metre.beats * 4 / metre.beatUnit;
  const notes = Array.from(
    { length: bars },
    (_, b) => ({ at: b * quarters, quarters: 1, pitch: 60 + b % 12 }),
  );
  return smallScore([{ instrument: "flute", role: "lead", notes }], { bars, ...metre, written: false });
}
