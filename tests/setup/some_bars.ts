/** Passages of long scores, for what holds of any music: whole movements take seconds to read and to measure. */
import { barsBetween } from "../../lib/orchestrate/rewrite/bars_asked.ts";
import { excerpt } from "../../lib/orchestrate/rewrite/excerpt.ts";
import type { Score } from "../../lib/score/model.ts";
import type { Texture } from "../../lib/texture/model.ts";

const UNREAD: Texture = { origin: "recognised", cells: [], layers: [] };

/** Bars by index from 0; what a score has not, is left out. */
interface Bars {
  readonly from: number;
  readonly to: number;
}

/** Some bars of a score as a score of their own, with what holds when they begin. */
export function someBars(score: Score, { from, to }: Bars): Score {
  const bars = barsBetween(score, {
    fromBarIndex: from,
    toBarIndex: Math.min(to, score.bars.length - 1),
  });
  return excerpt({ score, texture: UNREAD }, bars).score;
}
