/** Second lines in halves and quarters, which the notes alone would call held. */
import type { Note } from "../../score/model.ts";
import type { CellFeatures } from "../features/features.ts";
import { RULES } from "../rules.ts";

/**
 * Whether a part moves like a second line: in notes of one to two beats, at least twice in the bar, and mostly on its own
 * while the lowest part holds.
 *
 * @param features features of every bar and part
 * @param cell index of the cell
 * @param score how many parts there are, and which of them lie lowest in the bar
 * @returns true for a second line
 */
export function isSecondLine(
  features: readonly CellFeatures[],
  cell: number,
  { parts, lowest }: {
    readonly parts: number;
    readonly lowest: ReadonlySet<number>;
  },
): boolean {
  const { line, coverage, part, felt } = features[cell]!;
  const beats = ({ durationTicks }: Note) => durationTicks / felt.unitTicks;
  const steady = line.every((n) => beats(n) >= 0.99 && beats(n) <= 2.01);
  if (
    line.length < 2 || !steady || beats(line[0]!) < 1.99 || coverage < 0.9 ||
    lowest.has(part)
  ) return false;
  let [moves, alone] = [0, 0];
  for (const at of [cell - parts, cell, cell + parts]) {
    for (const note of features[at]?.line.slice(1) ?? []) {
      moves++;
      const shared = [...lowest].some((p) =>
        features[at - part + p]!.line.some((n) => n.onsetTicks === note.onsetTicks)
      );
      if (!shared) alone++;
    }
  }
  return moves >= RULES.counterlineFromMoves && alone >= RULES.counterlineAlone * moves;
}
