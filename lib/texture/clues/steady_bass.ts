/** A bass by its strokes: even ones, whatever the metre, or one for each group of 7/8 and the like. */
import type { CellFeatures } from "../features/features.ts";
import type { FigureId } from "../figures.ts";

/** Share of a bar's time in strokes of one length from which that length names them: the last is cut off by the bar line. Model assumption. */
const STEADY_FROM = 0.55;
/** Share of that time in which they sound, else they stand apart. Model assumption. */
const SOUNDING_FROM = 0.75;

/** Figures of the table by the quarters from one stroke to the next. */
const BY_STEP: ReadonlyMap<number, FigureId> = new Map([
  [1, "bass on every quarter"],
  [3 / 2, "bass on every dotted quarter"],
  [2, "bass in half notes"],
]);

/** Quarters from each stroke of a bar to the next; the last lasts as long as it sounds, since breath may follow. */
function stepsOf({ line, felt }: CellFeatures, ticksPerQuarter: number): readonly number[] {
  const places = line.map((n) => (n.onsetTicks - felt.startTicks) / ticksPerQuarter);
  return line.map((n, i) => (places[i + 1] ?? places[i]! + n.durationTicks / ticksPerQuarter) - places[i]!);
}

/**
 * Whether a part strikes once for each group of a bar that is counted in groups.
 *
 * @param features what the part's notes look like
 * @returns true where the bar has several groups and a stroke begins each of them, and none stands elsewhere
 */
export function strikesGroups({ line, felt: { groupsFromTicks: groups } }: CellFeatures): boolean {
  return groups.length > 1 && line.length === groups.length &&
    line.every((n, i) => n.onsetTicks === groups[i]);
}

/**
 * The bass of the table whose strokes follow each other as those of the bar do.
 *
 * @param features what the part's notes look like
 * @param ticksPerQuarter grid of the score
 * @returns its name, or undefined where the strokes are of other lengths, or keep to none
 */
export function steadyBass(features: CellFeatures, ticksPerQuarter: number): FigureId | undefined {
  if (features.line.length < 2 || features.beginsAtQuarters > 0) return undefined;
  if (strikesGroups(features)) return "bass on every quarter";
  const steps = stepsOf(features, ticksPerQuarter);
  const all = steps.reduce((sum, step) => sum + step, 0);
  const longest = Math.max(...steps);
  const inLongest = steps.filter((step) => Math.abs(step - longest) < 1 / 24).length * longest;
  const sounding = features.line.reduce((sum, n) => sum + n.durationTicks, 0) / ticksPerQuarter;
  if (inLongest < STEADY_FROM * all || sounding < SOUNDING_FROM * all) return undefined;
  return BY_STEP.get(Math.round(longest * 24) / 24);
}
