/** Second lines in long notes, which the notes alone would call held. */
import type { Note } from "../../score/model.ts";
import type { CellFeatures } from "../features/features.ts";
import { RULES } from "../rules.ts";
import type { Scene } from "./surroundings.ts";

/** Bars on either side in which a line is followed. Model assumption. */
const BARS_AROUND = 6;

/** Pitch class of what a line has sounding, or has had last, at a place; of its first note before that. */
function pitchClassAt(line: readonly Note[], ticks: number): number | undefined {
  const note = line.findLast((n) => n.onsetTicks <= ticks) ?? line[0];
  return note === undefined ? undefined : note.soundingPitch % 12;
}

/** Whether any of some lines comes to another tone between two places: the harmony may have changed. */
function changesBetween(lines: readonly (readonly Note[])[], from: number, to: number): boolean {
  return lines.some((line) => pitchClassAt(line, from) !== pitchClassAt(line, to));
}

/** Ticks from each note of a bar to the next, or to the bar line. */
function stepTicks({ line, felt: { startTicks, unitTicks }, barUnits }: CellFeatures): readonly number[] {
  const end = startTicks + barUnits * unitTicks;
  return line.map((n, i) => (line[i + 1]?.onsetTicks ?? end) - n.onsetTicks);
}

/** Whether a bar is filled with long notes: two at least, none shorter than a beat, longer than beats where there are more. */
function isLong(features: CellFeatures): boolean {
  const { line, felt: { unitTicks, secondsPerTick }, barUnits, barSeconds } = features;
  const areFew = line.length === 2 || line.length > 2 &&
      barUnits / line.length >= RULES.counterlineFromUnits &&
      barSeconds / line.length >= RULES.counterlineFromSeconds;
  if (!areFew) return false;
  const sounding = line.reduce((sum, n) => sum + n.durationTicks, 0) / (barUnits * unitTicks);
  const shortest = Math.min(...stepTicks(features));
  return sounding >= RULES.counterlineSounding && shortest >= 0.99 * unitTicks &&
    shortest * secondsPerTick >= RULES.counterlineFromSeconds / 2;
}

/** How a line of long notes goes from note to note within a bar. */
interface Steps {
  readonly all: number;
  readonly moves: number;
  /** Moves while the lowest part stays on its tone. */
  readonly alone: number;
}

const NO_STEPS: Steps = { all: 0, moves: 0, alone: 0 };

function stepsOf(line: readonly Note[], below: readonly (readonly Note[])[]): Steps {
  let [moves, alone] = [0, 0];
  line.slice(1).forEach((note, i) => {
    const before = line[i]!;
    if (note.soundingPitch === before.soundingPitch) return;
    moves++;
    if (!changesBetween(below, before.onsetTicks, note.onsetTicks)) alone++;
  });
  return { all: line.length - 1, moves, alone };
}

/** Cells of the bars in a row around a cell, so many at most, that a part fills with long notes; silence parts none, nor does one bar of another kind. */
function stretchOf(
  features: readonly CellFeatures[],
  cell: number,
  { steps, parts }: { readonly steps: readonly Steps[]; readonly parts: number },
): readonly number[] {
  const stretch = [cell];
  for (const step of [-parts, parts]) {
    let others = 0;
    for (let at = cell + step; Math.abs(at - cell) <= BARS_AROUND * parts; at += step) {
      if (steps[at] === undefined) break;
      if (features[at]!.line.length === 0) continue;
      if (steps[at] === NO_STEPS && ++others > 1) break;
      if (steps[at] !== NO_STEPS) stretch.push(at);
    }
  }
  return stretch;
}

/** Whether a bar between others of a second line belongs to it: its notes last half a beat at least, longer ones are among them. */
function fits(f: CellFeatures): boolean {
  const steps = stepTicks(f);
  return steps.length > 0 && Math.min(...steps) >= 0.49 * f.felt.unitTicks &&
    Math.max(...steps) >= 0.99 * f.felt.unitTicks;
}

/**
 * Which cells belong to second lines: in long notes, which within the bars around come to other tones while the lowest
 * part stays on its own, and in a rhythm that hardly another part above the bass shares. What holds a chord moves when
 * the harmony does, and with others.
 *
 * @param features features of every bar and part
 * @param scene who sounds, and who goes with whom
 * @param basses the parts that lie lowest, by bar, and the cells of those that walk
 * @returns true for every cell of a second line
 */
export function secondLinesOf(
  features: readonly CellFeatures[],
  { parts, companions }: Scene,
  { lowest, walking }: {
    readonly lowest: readonly ReadonlySet<number>[];
    readonly walking: readonly boolean[];
  },
): readonly boolean[] {
  /** What a low part has in a bar that may tell of the harmony: of a walking bass, and of what moves as quickly, its first note. */
  const bassIn = (cell: number) => {
    const { line, meanUnits } = features[cell]!;
    return walking[cell] || meanUnits <= RULES.counterlineNotBesideUnits ? line.slice(0, 1) : line;
  };
  const steps = features.map((f, i): Steps => {
    const own = lowest[f.barIndex]!;
    if (own.has(f.part) || !isLong(f)) return NO_STEPS;
    return stepsOf(f.line, [...own].map((p) => bassIn(i - f.part + p)));
  });
  /** Whether lines above the bass share a cell's rhythm in long notes; parts in unison are one line. */
  const isShared = (i: number, { barIndex }: CellFeatures) => {
    const beside = companions.rhythm[i]!.filter((j) =>
      !lowest[barIndex]!.has(j % parts) && features[j]!.meanUnits > RULES.counterlineNotBesideUnits
    );
    const lines = beside.filter((j, k) => !beside.slice(0, k).some((l) => companions.unison[j]!.includes(l)));
    return lines.length > RULES.counterlineBeside;
  };
  const found = features.map((f, i) => {
    if (steps[i]! === NO_STEPS || isShared(i, f)) return false;
    const stretch = stretchOf(features, i, { steps, parts });
    const below = new Set<number>();
    let [all, moves, alone] = [0, 0, 0];
    for (const at of stretch) {
      const near = steps[at]!;
      all += near.all;
      moves += near.moves;
      alone += near.alone;
      const bar = features[at]!.barIndex;
      for (const p of lowest[bar]!) {
        for (const n of features[bar * parts + p]!.line) below.add(n.soundingPitch % 12);
      }
    }
    // Over a tone that never changes nothing tells a second line from a tune.
    return stretch.length >= RULES.counterlineFromBars && below.size >= 2 &&
      moves >= RULES.counterlineFromMoves && alone >= RULES.counterlineAlone * moves &&
      moves >= RULES.counterlineMoving * all;
  });
  return found.map((is, i) =>
    is ||
    found[i - parts] === true && found[i + parts] === true &&
      !lowest[features[i]!.barIndex]!.has(i % parts) &&
      fits(features[i]!)
  );
}
