/** What was judged of short bars by themselves and two by two, said of each. */
import { BROAD_KINDS } from "../broad_kinds.ts";
import { rowsFor } from "../clues/rows.ts";
import type { Share } from "../../base/units.ts";
import type { Judgement } from "./judge.ts";
import { candidatesOf, FLOOR } from "./lead_course.ts";
import { logShares } from "./weights.ts";

/**
 * How much the pair counts beside the bar itself. Chosen in coarse steps on the annotated movements, each read with weights that
 * had not seen it: without the pair, with a fifth, a third and half of it the chief lead of eight movements is right in 0.706,
 * 0.708, 0.710 and 0.705 of the bars, and 0.782, 0.784, 0.783 and 0.782 of the cells of four are exact. Two thirds for strokes
 * lose held notes that people hear in single bars.
 */
const PAIR_SHARE: Readonly<Record<"lead" | "does" | "strokes", Share>> = {
  lead: 1 / 3,
  does: 1 / 3,
  strokes: 1 / 2,
};

const [MOVING, ISOLATED] = [BROAD_KINDS.indexOf("moving"), BROAD_KINDS.indexOf("isolated")];

/** Mean of two logarithms of shares. */
const mixed = (pair: number, bar: number, share: Share) => share * pair + (1 - share) * bar;

/** Shares of the broad kinds in a bar, what goes on or stands alone in it told apart with the help of the pair. */
function strokesApart(bar: Float64Array, pair: Float64Array): Float64Array {
  const odds = (row: Float64Array) => row[MOVING]! - row[ISOLATED]!;
  const either = Math.log(Math.exp(bar[MOVING]!) + Math.exp(bar[ISOLATED]!));
  const [moving, isolated] = logShares([mixed(odds(pair), odds(bar), PAIR_SHARE.strokes), 0]);
  const row = bar.slice();
  row[MOVING] = either + moving!;
  row[ISOLATED] = either + isolated!;
  return row;
}

/**
 * What is said of each bar where short ones were judged two by two as well. Who leads, and whether strokes go on or stand
 * alone, is heard over more than a short bar, and as it would be were the line between the two not there.
 *
 * @param bars what was judged of each bar
 * @param pairs what was judged with short bars joined
 * @param pairOf for each bar, the joined one it is in
 * @returns the judgement of each bar
 */
export function byPairs(bars: Judgement, pairs: Judgement, pairOf: readonly number[]): Judgement {
  const { evidence, evidence: { scene: { parts, sounds } } } = bars;
  const cellOf = (i: number) => pairOf[Math.floor(i / parts)]! * parts + i % parts;
  const does = rowsFor(sounds, BROAD_KINDS.length);
  const shares = new Float64Array(sounds.length).fill(FLOOR);
  does.forEach((row, i) => {
    if (!sounds[i]) return;
    const pair = pairs.does[cellOf(i)]!;
    row.set(logShares(bars.does[i]!.map((x, k) => mixed(pair[k]!, x, PAIR_SHARE.does))));
  });
  const course = candidatesOf(evidence).map((cells, b) => {
    const asked = cells.filter((i) => Math.max(pairs.lead.shares[cellOf(i)]!, bars.lead.shares[i]!) > FLOOR);
    const logs = asked.map((i) =>
      mixed(pairs.lead.shares[cellOf(i)]!, bars.lead.shares[i]!, PAIR_SHARE.lead)
    );
    logShares(logs).forEach((x, k) => shares[asked[k]!] = Math.max(FLOOR, x));
    return asked.length === 0
      ? -1
      : asked.reduce((best, i) => shares[i]! > shares[best]! ? i : best) - b * parts;
  });
  return {
    ...bars,
    broad: bars.broad.map((row, i) => sounds[i] ? strokesApart(row, pairs.broad[cellOf(i)]!) : row),
    does,
    lead: { shares, course },
  };
}
