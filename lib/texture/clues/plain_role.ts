/** Cases so plain that nobody would weigh them: signs of trill or tremolo, and bars filled by one figure of the table. */
import { areSameNumbers } from "../../base/same_numbers.ts";
import type { CellFeatures } from "../features/features.ts";
import { placeIn } from "../features/felt_time.ts";
import type { FigureShape } from "../figure_shapes.ts";
import { FIGURES } from "../figures.ts";
import type { Role } from "../roles.ts";
import { rollsOn } from "./rolls_on.ts";
import { stepsWithin } from "./steps_within.ts";
import { RULES } from "../rules.ts";

/** Rhythm cells of one value in the table of figures, as places in twenty-fourths. */
const CELLS = FIGURES
  .filter((f) => f.cellQuarters === 1 && (f.role === "pulse" || f.role === "figuration"))
  .map(({ shape, strokes }) => ({ shape, places: strokes.map((s) => Math.round(s.at * 24)) }));

/** Places of the bar's notes in each value of a length, in twenty-fourths, where all values are alike. */
function placesIn({ line, felt }: CellFeatures, valueTicks: number): readonly number[] | undefined {
  const places: number[] = []; // in the first value
  let [value, values, at] = [NaN, 0, 0];
  for (const { onsetTicks } of line) {
    const own = Math.floor((onsetTicks - felt.originTicks) / valueTicks + 1e-6);
    if (own !== value) {
      if (values > 1 && at < places.length) return undefined;
      values++;
      [value, at] = [own, 0];
    }
    const place = Math.round(24 * placeIn(onsetTicks, felt, valueTicks));
    if (values === 1) places.push(place);
    else if (place !== places[at]) return undefined;
    at++;
  }
  return values >= 2 && at === places.length ? places : undefined;
}

/** Whether the rhythm that fills the bar is known with a shape: in beats, or in a value beside them. */
function isFilledBy(f: CellFeatures, shape: FigureShape): boolean {
  return f.felt.cellTicks.some((ticks) => {
    const own = placesIn(f, ticks);
    return own !== undefined &&
      CELLS.some((cell) => cell.shape === shape && areSameNumbers(cell.places, own));
  });
}

/** Whether notes under slashes too quick to count stay: two in quick turn do, whatever they last, and so do long ones. */
export function staysUnderSlashes({ line, felt }: Pick<CellFeatures, "line" | "felt">): boolean {
  if (line.length === 0) return false;
  const [inTurn, ticks] = [
    line.filter((n) => n.tremoloAlternates).length,
    line.reduce((sum, n) => sum + n.durationTicks, 0),
  ];
  return inTurn >= line.length / 2 || ticks >= RULES.tremoloFromUnits * felt.unitTicks * line.length;
}

/**
 * What notes under quick slashes are for: a tremolo where they last; where they move on at once, they break a chord,
 * run or pulse, and the slashes only double each stroke.
 */
function slashedRole(f: CellFeatures): Role {
  const { line } = f;
  if (staysUnderSlashes(f) || line.length < 3) return "trill";
  const moves = line.slice(1).map((n, i) => n.soundingPitch - line[i]!.soundingPitch);
  const share = (fits: (move: number) => boolean) => moves.filter(fits).length / moves.length;
  if (share((move) => Math.abs(move) >= 3) >= RULES.figuresFromLeaps) return "figuration";
  return share((move) => move !== 0 && Math.abs(move) <= 2) >= RULES.runFromSteps &&
      (moves.every((move) => move > 0) || moves.every((move) => move < 0))
    ? "run"
    : "pulse";
}

/** Whether most of a bar and of the bars read with it is under trill signs. */
export function isTrilled({ trill }: CellFeatures): boolean {
  return trill >= RULES.ornamentedFrom;
}

/**
 * Steps from note to note of a bar. As over a bar line, the harmony may change in the middle of a bar of four beats: that
 * step is none of the figure.
 */
function stepsOfFigure({ line, felt: { startTicks, unitTicks }, barUnits }: CellFeatures) {
  const middle = barUnits % 4 === 0 ? startTicks + barUnits * unitTicks / 2 : startTicks;
  return stepsWithin(line, (from, to) => to.onsetTicks >= middle && from.onsetTicks < middle);
}

/**
 * Role of a part whose bar leaves nothing to weigh.
 *
 * @param f features of the cell
 * @returns trill under trill signs or unmeasured tremolo, and where a roll leads into the next bar, pad where chords are struck and swell, what the notes do where they move under quick slashes; pulse or figuration where one rhythm of the figure table
 * fills the bar on one pitch, or on wide steps from chord tone to chord tone; otherwise undefined
 */
export function plainRole(f: CellFeatures): Role | undefined {
  if (f.line.length === 0) return undefined;
  if (isTrilled(f)) return "trill";
  if (f.swelling) return "pad";
  // Of a bar on its own: in a tune one long note may be shaken.
  if (rollsOn(f) && (f.line.length === 2 || f.line[0]!.unpitched)) return "trill";
  if (f.unmeasured >= RULES.ornamentedFrom) return slashedRole(f);
  const { all, stays, leaps } = stepsOfFigure(f);
  if (all === 0) return undefined;
  const isPulse = f.meanUnits <= RULES.plainlyQuickToUnits && stays >= RULES.plainlyRepeatedFrom * all;
  if (isPulse && isFilledBy(f, "repeated notes")) return "pulse";
  const breaks = leaps >= RULES.plainlyBrokenFrom * all;
  return breaks && isFilledBy(f, "broken chord") ? "figuration" : undefined;
}
