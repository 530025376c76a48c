/** Scales that run on and on. */
import { type CellFeatures, distinctIn } from "../features/features.ts";
import { RULES } from "../rules.ts";

/** Whether a bar is filled with quick notes of one length that go by step alone, and do not only swing to and fro. */
function runsThrough({ line, felt, barUnits }: CellFeatures): boolean {
  const [first] = line;
  if (first === undefined || line.length < 2 * barUnits) return false;
  const isScale = line.every((n, i) => {
    const before = line[i - 1];
    if (before === undefined) return n.onsetTicks === felt.startTicks;
    const size = Math.abs(n.soundingPitch - before.soundingPitch);
    return size >= 1 && size <= 3 &&
      n.onsetTicks - before.onsetTicks === line[1]!.onsetTicks - first.onsetTicks;
  });
  return isScale && distinctIn(line, (n) => n.soundingPitch).length >= 3;
}

/**
 * Which cells belong to scales that run on without a break for bars in a row, up and down: no tune does.
 *
 * @param features features of every bar and part
 * @param parts how many parts there are
 * @returns true for every such cell
 */
export function runningScalesOf(features: readonly CellFeatures[], parts: number): readonly boolean[] {
  const runs = features.map(runsThrough);
  const before = new Int32Array(features.length);
  const after = new Int32Array(features.length);
  for (let i = 0; i < runs.length; i++) if (runs[i]) before[i] = 1 + (before[i - parts] ?? 0);
  for (let i = runs.length - 1; i >= 0; i--) if (runs[i]) after[i] = 1 + (after[i + parts] ?? 0);
  return runs.map((is, i) => is && before[i]! + after[i]! - 1 >= RULES.runningFromBars);
}
