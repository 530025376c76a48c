/** How a part stands among those that double it: what makes people name one of several equals as the lead. */
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Share } from "../../base/units.ts";
import type { CellFeatures } from "../features/features.ts";
import type { Companions } from "../features/overlaps.ts";
import { rowsFor } from "./rows.ts";
import type { ScoreFrame } from "../features/score_frame.ts";

/** Names of the clues, in the order of a row. */
export const GROUP_CLUES: readonly string[] = [
  "highest of its doublings",
  "first of its doublings",
  "size of its group",
  "with the first strings",
  "below its highest doubling",
  "strings among doublings",
  "first of its kind",
  "longest of its doublings",
  "stretch",
];

/** Length of the bars in a row in which a part sounds, in fours of units, by cell; 0 where it is silent. */
function stretchesOf(features: readonly CellFeatures[], parts: number): Float64Array {
  const stretches = new Float64Array(features.length);
  for (let p = 0; p < parts; p++) {
    for (let i = p; i < features.length; i += parts) {
      if (!features[i]!.sounds) continue;
      let [end, length] = [i, 0];
      for (; features[end]?.sounds; end += parts) length += features[end]!.barUnits / 4;
      for (let j = i; j < end; j += parts) stretches[j] = length;
      i = end - parts;
    }
  }
  return stretches;
}

/**
 * Clues of every bar and part.
 *
 * @param score the score
 * @param features features of the same score
 * @param companions which parts do the same
 * @returns rows of {@linkcode GROUP_CLUES}, all zero where a part is silent
 */
export function groupCluesOf(
  score: ScoreFrame,
  features: readonly CellFeatures[],
  companions: Companions,
): readonly Float64Array[] {
  const parts = score.parts.length;
  const stretches = stretchesOf(features, parts);
  const strings = score.parts.map((p) => instrumentById(p.instrument).family === "strings");
  const firstStrings = strings.indexOf(true);
  const kinds = score.parts.map((p) => p.instrument);
  const yes = (x: boolean): Share => x ? 1 : 0;
  const rows = rowsFor(features.map((f) => f.sounds), GROUP_CLUES.length);
  features.forEach((f, i) => {
    if (!f.sounds) return;
    const row = rows[i]!;
    const others = companions.unison[i]!;
    const doubled = others.length > 0;
    const p = i % parts;
    row[0] = yes(doubled && others.every((j) => f.meanPitch >= features[j]!.meanPitch - 0.5));
    row[1] = yes(doubled && others.every((j) => j % parts > p));
    row[2] = Math.log2(1 + others.length);
    row[3] = yes(p === firstStrings || others.some((j) => j % parts === firstStrings));
    row[4] = others.reduce((most, j) => Math.max(most, features[j]!.meanPitch - f.meanPitch), 0) / 12;
    row[5] = yes(doubled && strings[p]!);
    row[6] = yes(kinds.indexOf(kinds[p]!) === p);
    row[7] = yes(doubled && others.every((j) => stretches[i]! >= stretches[j]!));
    row[8] = Math.log2(Math.max(1, stretches[i]!)) / 4;
  });
  return rows;
}
