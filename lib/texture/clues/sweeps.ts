/** Scales that sweep into one bar after another. */
import type { CellFeatures } from "../features/features.ts";

/** Sweeps in a stretch from which they are an accompaniment; with three or four of them people follow some in the annotated movements. */
const FROM_SWEEPS = 5;
/** Fewest notes of a sweep, and the most units of the metre that each lasts. */
const SWEEP = { notes: 3, units: 0.55 } as const;

/** Whether a bar has one scale, up or down in even quick notes to its end, and before it nothing but a stroke on the downbeat. */
function sweepsOn({ line, felt, barUnits }: CellFeatures): boolean {
  const from = line[0]?.onsetTicks === felt.startTicks ? 1 : 0;
  if (line.length - from < SWEEP.notes) return false;
  const [first, second, last] = [line[from]!, line[from + 1]!, line.at(-1)!];
  const value = second.onsetTicks - first.onsetTicks;
  const way = Math.sign(second.soundingPitch - first.soundingPitch);
  const end = felt.startTicks + barUnits * felt.unitTicks;
  return value <= SWEEP.units * felt.unitTicks && first.onsetTicks > felt.startTicks + value &&
    Math.abs(last.onsetTicks + last.durationTicks - end) <= value &&
    line.every((n, i) => {
      if (i <= from) return true;
      const before = line[i - 1]!;
      const size = (n.soundingPitch - before.soundingPitch) * way;
      return size >= 1 && size <= 3 && Math.abs(n.onsetTicks - before.onsetTicks - value) < 2;
    });
}

/** Whether a bar has nothing, or one note on the downbeat. */
function lands({ line, felt }: CellFeatures): boolean {
  return line.length === 0 || line.length === 1 && line[0]!.onsetTicks === felt.startTicks;
}

/**
 * Which cells belong to scales that sweep into one bar after another while their part does nothing else: the sweeps, and
 * the bars on whose downbeats they land.
 *
 * @param features features of every bar and part
 * @param parts how many parts there are
 * @returns for every such cell whether it is a sweep, or where one lands
 */
export function sweepsOf(
  features: readonly CellFeatures[],
  parts: number,
): readonly ("sweep" | "landing" | undefined)[] {
  const own = features.map((f) => sweepsOn(f) ? "sweep" : lands(f) ? "landing" : undefined);
  const found = new Array<"sweep" | "landing" | undefined>(own.length).fill(undefined);
  for (let i = 0; i < own.length; i++) {
    if (own[i] === undefined || own[i - parts] !== undefined) continue;
    let [end, sweeps] = [i, 0];
    for (; own[end] !== undefined; end += parts) if (own[end] === "sweep") sweeps++;
    if (sweeps < FROM_SWEEPS) continue;
    for (let at = i; at < end; at += parts) {
      const isLanding = own[at - parts] === "sweep" && features[at]!.line.length > 0;
      if (own[at] === "sweep" || isLanding) found[at] = own[at];
    }
  }
  return found;
}
