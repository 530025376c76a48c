/** Which clef each bar of a stave is written in: the instrument's usual ones, changed as seldom as reading allows. */

import { type Clef, CLEFS, COMFORT_SEMITONES } from "../../page/clefs.ts";

/** What a change of clef costs, in semitones of ledger lines in one bar; model assumption. */
const CHANGE_COST = 10;
/** What another clef than the first costs in a bar; model assumption. */
const OTHER_CLEF_COST = 2;
/** The same for horns, who read ledger lines below the treble stave rather than a bass clef. Common practice, no source. */
const OTHER_CLEF_COST_OF_HORNS = 8;

/** Mean distance of the notes beyond what is read without effort. */
function effort(pitches: readonly number[], middleLine: number): number {
  let sum = 0;
  for (const pitch of pitches) sum += Math.max(0, Math.abs(pitch - middleLine) - COMFORT_SEMITONES);
  return sum / Math.max(1, pitches.length);
}

/**
 * Clefs of one stave, one for each bar's written pitches, with the least effort of reading over the whole
 * part when every change has its price; the first of the names is preferred. Empty bars keep the clef before
 * them.
 */
export function clefPath(
  names: readonly string[],
  bars: readonly (readonly number[])[],
  { ofHorn = false }: { readonly ofHorn?: boolean } = {},
): readonly Clef[] {
  const otherCost = ofHorn ? OTHER_CLEF_COST_OF_HORNS : OTHER_CLEF_COST;
  const known = names.map((n) => CLEFS[n]).filter((c) => c !== undefined);
  const clefs = known.length > 0 ? known : [CLEFS["G"]!];
  let costs: number[] = clefs.map((_, c) => (c === 0 ? 0 : otherCost));
  const cameFrom: number[][] = [];
  for (const pitches of bars) {
    const from: number[] = [];
    costs = clefs.map((clef, c) => {
      let best = c;
      costs.forEach((cost, other) => {
        if (cost + CHANGE_COST < costs[best]! + (best === c ? 0 : CHANGE_COST)) best = other;
      });
      from.push(best);
      const own = pitches.length > 0 ? effort(pitches, clef.middleLine) + (c === 0 ? 0 : otherCost) : 0;
      return costs[best]! + (best === c ? 0 : CHANGE_COST) + own;
    });
    cameFrom.push(from);
  }
  let at = costs.indexOf(Math.min(...costs));
  const path: number[] = [];
  for (let bar = bars.length - 1; bar >= 0; bar--) {
    path.unshift(at);
    at = cameFrom[bar]![at]!;
  }
  const firstWithNotes = bars.findIndex((pitches) => pitches.length > 0);
  return path.map((c, bar) => {
    let shown = bar;
    while (shown > firstWithNotes && bars[shown]!.length === 0) shown--;
    const clef = clefs[path[Math.max(shown, firstWithNotes, 0)] ?? c]!;
    return { sign: clef.sign, line: clef.line };
  });
}
