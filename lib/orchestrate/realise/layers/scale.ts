/** Runs: scales through the key, bent to the chord, that land on their target on time. */
import type { Ticks } from "../../../base/units.ts";
import type { Bar } from "../../../score/model.ts";
import { nameAtFifths, pitchClassOfName } from "../../../score/spelling.ts";
import type { ChordTone, Harmony } from "../../plan/sketch.ts";
import { linesOf } from "./turns.ts";
import {
  cheapest,
  chordNote,
  foldInto,
  groupsIn,
  type LayerPart,
  type LayerTask,
  type LayerWriter,
  placeStrokes,
  type PlainNote,
  spellIn,
  tonesWithin,
} from "./task.ts";

/** Steps of a major scale, from its tonic upwards, as fifths above it. */
const MAJOR_SCALE = [0, 2, 4, -1, 1, 3, 5];

/**
 * The seven notes of the key, each replaced by the chord's tone on the same letter where the chord has one: in D
 * minor over A major, C gives way to C sharp.
 */
export function scaleFor(keyFifths: number, harmony: Harmony): readonly ChordTone[] {
  return MAJOR_SCALE.map((fifths) => {
    const name = nameAtFifths(keyFifths + fifths);
    const bent = harmony.tones.find((t) => t.name[0] === name[0])?.name ?? name;
    return { name: bent, pitchClass: pitchClassOfName(bent) };
  });
}

/** Which way a run goes. */
type Direction = "up" | "down";

/** Where in its range a part's run arrives: high where it rises, low where it falls. Common practice, no source. */
const ARRIVES_AT: Readonly<Record<Direction, number>> = { up: 0.75, down: 0.25 };

/** Semitones of detour that a step less of a run is worth. Model assumption. */
const SHORT_RUN_COST = 3;

/** A run of one part: where it arrives, and the steps to it. */
interface PartRun {
  readonly part: LayerPart;
  readonly goal: number;
  readonly climb: readonly number[];
}

/**
 * The runs of some parts into a chord: all arrive on one tone of it, in octaves, with as many steps as each has room for, so that
 * none goes along with another in fourths or fifths.
 */
function runsTo(
  harmony: Harmony,
  parts: readonly LayerPart[],
  steps: RunSteps,
): readonly PartRun[] {
  const { direction, count } = steps;
  const runsOn = (tone: ChordTone) =>
    parts.flatMap((part): readonly (PartRun & { readonly cost: number })[] => {
      const { low, high } = part.range;
      const wish = low + (high - low) * ARRIVES_AT[direction];
      const goals = tonesWithin([tone], low, high);
      const costOf = (goal: number) =>
        Math.abs(goal - wish) + SHORT_RUN_COST * (count - stepsTo(goal, part, steps).length);
      if (goals.length === 0) return [];
      const goal = cheapest(goals, costOf);
      return [{ part, goal, climb: stepsTo(goal, part, steps), cost: costOf(goal) }];
    });
  const costOfAll = (runs: ReturnType<typeof runsOn>) =>
    runs.reduce((sum, run) => sum + run.cost, 0) + (parts.length - runs.length) * SHORT_RUN_COST * count;
  const ways = harmony.tones.map(runsOn).filter((runs) => runs.length > 0);
  if (ways.length === 0) return [];
  const runs = cheapest(ways, costOfAll);
  const length = Math.min(...runs.map((run) => run.climb.length));
  return runs.map(({ part, goal, climb }) => ({ part, goal, climb: climb.slice(climb.length - length) }));
}

/** What a run goes through. */
interface RunSteps {
  readonly scale: readonly ChordTone[];
  /** Steps at most. */
  readonly count: number;
  readonly direction: Direction;
}

/** The steps of a scale that lead to a goal, so many at most, in the order they are played. */
function stepsTo(
  goal: number,
  { range: { low, high } }: LayerPart,
  { scale, count, direction }: RunSteps,
): readonly number[] {
  return direction === "up"
    ? tonesWithin(scale, low, goal - 1).slice(-count)
    : tonesWithin(scale, goal + 1, high).slice(0, count).toReversed();
}

/**
 * Through the second half of every other bar (the second, fourth, … of the passage) to a chord tone on
 * the next downbeat, even where that is the bar after the layer's last; where another layer has a note for the part
 * there, that note is the landing. Players who hand the run over have one in every bar.
 */
function runIntoBar(direction: Direction): LayerWriter {
  return (task) => {
    const { bars } = task.sketch.score;
    const every = task.turns === undefined ? 2 : 1;
    const notes: PlainNote[] = [];
    for (let b = task.fromBarIndex + every - 1; b <= task.toBarIndex; b += every) {
      // A run needs somewhere to land: none leads out of the end of the piece.
      if (bars[b + 1] === undefined) continue;
      const lines = linesOf(task);
      const leaders = lines.map((line) => line.leader(runStart(bars[b]!, task.sketch.score.ticksPerQuarter)));
      runsOutOf(b, leaders, { task, direction })
        .forEach((notesOfRun, i) => notes.push(...lines[i]!.written(notesOfRun)));
    }
    return notes;
  };
}

/** Where a run begins in a bar: in its middle, in a bar of unequal groups with the group nearest to it. */
export function runStart(bar: Bar, quarter: Ticks): Ticks {
  const middle = bar.startTicks + bar.durationTicks / 2;
  const groups = groupsIn(bar, quarter);
  if (groups.length === 1) return middle;
  return cheapest(groups.slice(1).map(([from]) => from), (from) => Math.abs(from - middle));
}

/** For each part its run through the second half of a bar, with the note it lands on. */
function runsOutOf(
  barIndex: number,
  parts: readonly LayerPart[],
  { task, direction }: { readonly task: LayerTask; readonly direction: Direction },
): readonly (readonly PlainNote[])[] {
  const { bars, ticksPerQuarter } = task.sketch.score;
  const bar = bars[barIndex]!;
  const step = ticksPerQuarter / task.figure.strokes.length;
  const end = bar.startTicks + bar.durationTicks;
  const count = Math.floor((end - runStart(bar, ticksPerQuarter)) / step);
  const here = task.harmonies.findLast((h) => h.barIndex === barIndex);
  if (!here || count < 2) return [];
  const target = task.sketch.harmonies.find((h) => h.onsetTicks === end) ?? here;
  const scale = scaleFor(bar.keyFifths, here);
  const runs = runsTo(target, parts, { scale, count, direction });
  const durationTicks = Math.min(ticksPerQuarter, bars[barIndex + 1]!.durationTicks);
  return parts.map((part) => {
    const run = runs.find((each) => each.part === part);
    if (run === undefined) return [];
    return [
      ...run.climb.map((soundingPitch, i): PlainNote => ({
        part: part.index,
        onsetTicks: end - (run.climb.length - i) * step,
        durationTicks: step,
        soundingPitch,
        ...spellIn(scale, soundingPitch),
      })),
      chordNote(part, { onsetTicks: end, durationTicks, harmony: target }, run.goal),
    ];
  });
}

/** A scale upwards into every other bar. */
export const writeRunIntoBar: LayerWriter = runIntoBar("up");

/** The same downwards. */
export const writeRunDownIntoBar: LayerWriter = runIntoBar("down");

/** Semitones from where a part lies best to where an unbroken line turns: about a twelfth in all, about two octaves. */
const TURNS_AT = { scale: 9, wave: 12 } as const;

/** An unbroken line that turns at the ends of the part's range; parts of the layer move together. */
function unbroken(
  reach: number,
  tonesOf: (task: LayerTask, harmony: Harmony) => readonly ChordTone[],
): LayerWriter {
  return (task) => {
    const strokes = placeStrokes(task);
    return linesOf(task).flatMap(({ leader, written }) => {
      const notes: PlainNote[] = [];
      let before: number | undefined;
      let up = true;
      for (const s of strokes) {
        const part = leader(s.onsetTicks);
        const tones = tonesOf(task, s.harmony);
        const { home: middle = (part.range.low + part.range.high) / 2 } = part.range;
        const low = Math.max(part.range.low, middle - reach);
        const steps = tonesWithin(tones, low, Math.min(part.range.high, middle + reach));
        if (steps.length < 2) continue;
        const from = before === undefined
          ? undefined
          : foldInto({ range: { low, high: middle + reach } }, before);
        const next = (rising: boolean) =>
          from === undefined
            ? steps[0]
            : rising
            ? steps.find((p) => p > from)
            : steps.findLast((p) => p < from);
        let pitch = next(up);
        if (pitch === undefined) {
          up = !up;
          pitch = next(up);
        }
        if (pitch === undefined) continue;
        notes.push({ ...chordNote(part, s, pitch), ...spellIn(tones, pitch) });
        before = pitch;
      }
      return written(notes);
    });
  };
}

/** An unbroken scale. */
export const writeRunningScale: LayerWriter = unbroken(
  TURNS_AT.scale,
  (task, harmony) => scaleFor(task.sketch.score.bars[harmony.barIndex]!.keyFifths, harmony),
);

/** An unbroken broken chord, over more than an octave. */
export const writeWave: LayerWriter = unbroken(TURNS_AT.wave, (_, harmony) => harmony.tones.slice(0, 4));
