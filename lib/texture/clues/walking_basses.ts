/** Basses that walk in beats, which the notes alone would call a tune. */
import type { CellFeatures } from "../features/features.ts";
import type { Scene } from "./surroundings.ts";

/** Bars in a row from which beats that never stay are a walking bass. Model assumption. */
const WALKING_BARS = 4;

/** Share of its bar lines that a walking bass goes over by step: broken chords leap. Model assumption. */
const JOINED_FROM = 0.5;

/** Share of the bars of a stretch in which it walks from beat to beat and stays nowhere. Model assumption. */
const PLAINLY_FROM = 0.5;

/** Units of the metre from stroke to stroke: a beat of simple time, one of compound time, a group of 7/8. */
const STEP_UNITS = { least: 0.99, most: 1.51 } as const;

/** Whether a bar is filled with beats or groups of beats, none of which stays on the pitch of the one before. */
export function walksThrough({ line, felt, barUnits, beginsAtQuarters }: CellFeatures): boolean {
  if (line.length < 2 || beginsAtQuarters > 0) return false;
  return line.every((n, i) => {
    const end = line[i + 1]?.onsetTicks ?? felt.startTicks + barUnits * felt.unitTicks;
    const step = (end - n.onsetTicks) / felt.unitTicks;
    return step >= STEP_UNITS.least && step <= STEP_UNITS.most &&
      n.soundingPitch !== line[i - 1]?.soundingPitch;
  });
}

/** Whether a bar all but walks: it stays once, or one beat of it is divided in two, since the harmony changes there. */
function nearlyWalks({ line, felt, barUnits, beginsAtQuarters }: CellFeatures): boolean {
  if (line.length < 2 || beginsAtQuarters > 0) return false;
  const end = felt.startTicks + barUnits * felt.unitTicks;
  const steps = line.map((n, i) => ((line[i + 1]?.onsetTicks ?? end) - n.onsetTicks) / felt.unitTicks);
  const stays = line.filter((n, i) => n.soundingPitch === line[i - 1]?.soundingPitch).length;
  const short = steps.filter((step) => step < STEP_UNITS.least);
  return stays <= 1 && steps.every((step) => step <= STEP_UNITS.most) &&
    (short.length === 0 ||
      short.length === 2 && short[0] === short[1] && short[0]! + short[1]! >= STEP_UNITS.least);
}

/**
 * Which cells belong to walking basses: the lowest part, on every beat of bars in a row, hardly ever twice on one pitch,
 * while others sound above it.
 *
 * @param features features of every bar and part
 * @param scene who sounds
 * @param lowest the parts that lie lowest, by bar
 * @returns true for every such cell
 */
export function walkingBassesOf(
  features: readonly CellFeatures[],
  { parts, sounds }: Scene,
  lowest: readonly ReadonlySet<number>[],
): readonly boolean[] {
  const strict = features.map(walksThrough);
  const walks = features.map((f, i) => {
    const own = lowest[f.barIndex]!;
    const at = i - f.part;
    return own.has(f.part) && sounds.slice(at, at + parts).some((is, p) => is && !own.has(p)) &&
      (strict[i]! || nearlyWalks(f));
  });
  /** Whether a bar goes over to the next by step. */
  const joins = (i: number): boolean => {
    const [last, first] = [features[i]!.line.at(-1)!, features[i + parts]?.line[0]];
    const size = first ? Math.abs(first.soundingPitch - last.soundingPitch) : 0;
    return size >= 1 && size <= 2;
  };
  return walks.map((is, i) => {
    if (!is) return false;
    let [first, last] = [i, i];
    while (walks[first - parts]) first -= parts;
    while (walks[last + parts]) last += parts;
    const bars = (last - first) / parts + 1;
    let [joined, plain] = [0, 0];
    for (let at = first; at < last; at += parts) if (joins(at)) joined++;
    for (let at = first; at <= last; at += parts) if (strict[at]) plain++;
    return plain >= WALKING_BARS && plain >= PLAINLY_FROM * bars && joined >= JOINED_FROM * (bars - 1);
  });
}
