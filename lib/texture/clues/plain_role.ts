/** Cases so plain that nobody would weigh them: signs of trill or tremolo, and bars filled by one figure of the table. */
import type { CellFeatures } from "../features/features.ts";
import { FIGURES, type PitchPattern } from "../figures.ts";
import type { Role } from "../roles.ts";
import { RULES } from "../rules.ts";

/** Rhythm cells of a quarter in the table of figures, as places in twenty-fourths. */
const CELLS: ReadonlyMap<string, PitchPattern[]> = FIGURES
  .filter((f) => f.cellQuarters === 1 && (f.role === "pulse" || f.role === "figuration"))
  .reduce((cells, f) => {
    const key = f.strokes.map((s) => Math.round(s.at * 24)).join(" ");
    return cells.set(key, [...cells.get(key) ?? [], f.pitches]);
  }, new Map<string, PitchPattern[]>());

/** The one rhythm cell that fills the bar's notes, quarter by quarter, with the patterns of pitch it is known with. */
function fillingCell(f: CellFeatures, ticksPerQuarter: number): readonly PitchPattern[] {
  const quarters = new Map<number, number[]>();
  for (const n of f.line) {
    const quarter = Math.floor(n.onsetTicks / ticksPerQuarter);
    const place = Math.round((n.onsetTicks / ticksPerQuarter - quarter) * 24);
    quarters.set(quarter, [...quarters.get(quarter) ?? [], place]);
  }
  const cells = new Set([...quarters.values()].map((places) => places.join(" ")));
  if (cells.size !== 1 || quarters.size < 2) return [];
  return CELLS.get([...cells][0]!) ?? [];
}

/**
 * What notes under quick slashes are for: a tremolo where they last; where they move on at once, they break a chord,
 * run or pulse, and the slashes only double each stroke.
 */
function slashedRole({ line }: CellFeatures, ticksPerQuarter: number): Role {
  const writtenTicks = line.reduce((sum, n) => sum + n.durationTicks, 0) / line.length;
  if (writtenTicks >= ticksPerQuarter || line.length < 3) return "trill";
  const moves = line.slice(1).map((n, i) => n.soundingPitch - line[i]!.soundingPitch);
  const share = (fits: (move: number) => boolean) => moves.filter(fits).length / moves.length;
  if (share((move) => Math.abs(move) >= 3) >= RULES.figuresFromLeaps) return "figuration";
  return share((move) => move !== 0 && Math.abs(move) <= 2) >= RULES.runFromSteps &&
      (moves.every((move) => move > 0) || moves.every((move) => move < 0))
    ? "run"
    : "pulse";
}

/**
 * Role of a part whose bar leaves nothing to weigh.
 *
 * @param f features of the cell
 * @param ticksPerQuarter grid of the score
 * @returns trill under trill signs or unmeasured tremolo, what the notes do where they move under quick slashes; pulse or figuration where one rhythm of the figure table
 * fills the bar on one pitch, or on wide steps from chord tone to chord tone; otherwise undefined
 */
export function plainRole(f: CellFeatures, ticksPerQuarter: number): Role | undefined {
  if (f.line.length === 0) return undefined;
  if (f.trill >= RULES.ornamentedFrom) return "trill";
  if (f.unmeasured >= RULES.ornamentedFrom) return slashedRole(f, ticksPerQuarter);
  const patterns = fillingCell(f, ticksPerQuarter);
  const own = f.line.slice(1).map((n, i) => Math.abs(n.soundingPitch - f.line[i]!.soundingPitch));
  if (
    patterns.includes("repeated") && f.meanQuarters <= RULES.plainlyQuickTo &&
    own.filter((x) => x === 0).length >= RULES.plainlyRepeatedFrom * own.length
  ) {
    return "pulse";
  }
  if (
    patterns.includes("broken") && own.filter((x) => x >= 3).length >= RULES.plainlyBrokenFrom * own.length
  ) {
    return "figuration";
  }
  return undefined;
}
