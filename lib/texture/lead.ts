/** Which line the ear follows in a bar. */
import { relationOf } from "./doublings.ts";
import { type CellFeatures, isPitched } from "./features.ts";
import { RULES } from "./rules.ts";

/** How much a part asks to be followed, 0 to about 1. */
function salience(
  f: CellFeatures,
  p: number,
  bar: readonly CellFeatures[],
  group: readonly number[],
  ledBefore: ReadonlySet<number>,
): number {
  if (f.strokes < 1) return 0;
  const sounding = bar.filter((g) => g.line.length > 0);
  const higher = sounding.filter((g) => isPitched(g) && g.meanPitch > f.meanPitch + 0.5).length /
    Math.max(1, sounding.length);
  const loudest = Math.max(...sounding.map((g) => g.dynamic));
  const moving = f.steps + 0.7 * f.leaps;
  // A line neither crawls nor patters: between about one note in two quarters and four in a quarter. Beside a
  // slower line, quick notes of one length that mostly leap, or that only sweep into a bar, adorn it.
  const crawlsOrPatters = f.strokesPerQuarter < 0.4 || f.strokesPerQuarter > 4;
  const quick = f.meanQuarters <= RULES.figuresToQuarters && f.distinctLengths === 1;
  const adorns = quick && (f.leaps >= RULES.figuresFromLeaps || f.coverage <= RULES.sparseToCoverage) &&
    sounding.some((g) =>
      g.meanQuarters > 1.5 * f.meanQuarters &&
      (ledBefore.has(g.part) || g.line.length > 1 && g.steps + g.leaps >= 0.5)
    );
  const pace = adorns ? 0.2 : crawlsOrPatters ? 0.4 : 1;
  const variety = Math.min(1, (f.distinctLengths - 1) / 2) * 0.5 +
    Math.min(1, (f.distinctPitches - 1) / 4) * 0.5;
  const sameRhythm = sounding.filter((g) => g !== f && relationOf(f, g) === "rhythm").length;
  const own = 1 - sameRhythm / Math.max(1, sounding.length);
  return 0.28 * moving * pace + 0.2 * variety + 0.22 * (1 - higher) + 0.12 * own +
    0.06 * Math.min(1, (group.length - 1) / 3) + 0.06 * Math.max(0, 1 - (loudest - f.dynamic) / 2) +
    0.06 * f.coverage + (ledBefore.has(p) ? RULES.continuing : 0);
}

/**
 * The leading parts of a bar: the most salient line and its doublings.
 *
 * @param bar features of the bar's parts
 * @param groups for each part, the parts in unison or octaves with it
 * @param ledBefore parts that led last
 * @returns the leading parts with their salience, 0 to about 1; empty where nothing stands out
 */
export function chooseLead(
  bar: readonly CellFeatures[],
  groups: readonly (readonly number[])[],
  ledBefore: ReadonlySet<number>,
): ReadonlyMap<number, number> {
  let best = -1;
  let bestValue = 0;
  bar.forEach((f, p) => {
    if (!isPitched(f)) return;
    const value = salience(f, p, bar, groups[p]!, ledBefore);
    if (value > bestValue) {
      best = p;
      bestValue = value;
    }
  });
  if (best < 0 || bestValue < RULES.leadFrom && !ledBefore.has(best)) return new Map();
  return new Map(groups[best]!.map((p) => [p, bestValue]));
}
