/** Figures that a part keeps so long that nobody follows it while something else moves. */
import type { CellFeatures } from "../features/features.ts";
import type { Role } from "../roles.ts";
import type { Scene } from "./surroundings.ts";

/**
 * Units in a row that one plain figure fills from which it accompanies: four bars of 4/4, eight of 2/4. Of such bars in the
 * annotated movements people follow one in fifty; of shorter ones, one in ten where a chord is broken.
 */
const KEPT_UNITS = 16;

/** Roles of plain figures that are kept up: scales that run on may be what is followed. */
const KEPT: readonly (Role | undefined)[] = ["pulse", "figuration"];

/** Units that each part stays with one plain role without a break, by cell; 0 where it has none that is kept up. */
function unitsKept(
  plain: readonly (Role | undefined)[],
  units: readonly number[],
  parts: number,
): Float64Array {
  const kept = new Float64Array(plain.length);
  const isLike = (i: number, j: number) => KEPT.includes(plain[i]) && plain[i] === plain[j];
  for (let i = 0; i < plain.length; i++) {
    if (!KEPT.includes(plain[i]) || isLike(i, i - parts)) continue;
    let [all, end] = [0, i];
    for (; end === i || isLike(end, i); end += parts) all += units[Math.floor(end / parts)]!;
    for (let at = i; at < end; at += parts) kept[at] = all;
  }
  return kept;
}

/**
 * Which cells keep up a plain figure while a line that has none moves, in the bar or beside it.
 *
 * @param features features of every bar and part
 * @param scene who sounds
 * @param known plain roles and definite pitch by cell, and the length of every bar in units of the metre
 * @returns true for every such cell
 */
export function keptFiguresOf(
  features: readonly CellFeatures[],
  { parts, sounds }: Scene,
  { plain, pitched, units }: {
    readonly plain: readonly (Role | undefined)[];
    readonly pitched: readonly boolean[];
    readonly units: readonly number[];
  },
): readonly boolean[] {
  const kept = unitsKept(plain, units, parts);
  const isFree = (i: number) =>
    sounds[i]! && pitched[i]! && plain[i] === undefined && features[i]!.nearby.length > 2;
  return features.map((_, i) => {
    if (kept[i]! < KEPT_UNITS) return false;
    const at = i - i % parts;
    return Array.from({ length: parts }, (_, p) => at + p).some(isFree);
  });
}
