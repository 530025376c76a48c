/** Ticks to quarters, seconds, bars and beats: the one place where time is converted. */
import { A_CLOCK, A_GRID, BARS, checkArgument } from "../base/arguments.ts";
import type { Quarters, Seconds, Ticks } from "../base/units.ts";
import type { Bar, BarBeat, Score, Tempo } from "./model.ts";

/** The part of a score that time depends on. */
export type Timed = Pick<Score, "ticksPerQuarter" | "bars" | "tempos">;

/**
 * Quarter notes from the start of the score.
 *
 * @param score the score
 * @param ticks position or length in ticks
 * @returns quarter notes
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { quartersOf } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * assertEquals(quartersOf(demoScore(), demoScore().ticksPerQuarter * 3), 3);
 * ```
 */
export function quartersOf(score: Pick<Score, "ticksPerQuarter">, ticks: Ticks): Quarters {
  checkArgument("tell the time", score, A_GRID);
  return ticks / score.ticksPerQuarter;
}

/** Last index whose start is at or before a position, for an ascending list; 0 when none is. */
export function lastAtOrBefore<T>(
  list: readonly T[],
  position: number,
  startOf: (item: T) => number,
): number {
  let low = 0;
  let high = list.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (startOf(list[middle]!) <= position) low = middle;
    else high = middle - 1;
  }
  return low;
}

/**
 * A converter from ticks to seconds that has summed the tempo map once; use it when converting many notes.
 *
 * @param score the score
 * @returns a function from ticks to seconds from the start
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { clockOf, secondsOf } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * assertEquals(clockOf(score)(960), secondsOf(score, 960));
 * ```
 */
export function clockOf(score: Timed): (ticks: Ticks) => Seconds {
  checkArgument("tell the time", score, A_CLOCK);
  const { tempos, ticksPerQuarter } = score;
  const startSeconds: number[] = [];
  let seconds = 0;
  tempos.forEach((tempo, i) => {
    const before = tempos[i - 1];
    if (before) {
      seconds += (tempo.onsetTicks - before.onsetTicks) / ticksPerQuarter * secondsPerQuarter(before);
    }
    startSeconds.push(seconds);
  });
  return (ticks) => {
    const i = lastAtOrBefore(tempos, ticks, (t) => t.onsetTicks);
    const tempo = tempos[i]!;
    return startSeconds[i]! + (ticks - tempo.onsetTicks) / ticksPerQuarter * secondsPerQuarter(tempo);
  };
}

function secondsPerQuarter(tempo: Tempo): number {
  return 60 / tempo.quartersPerMinute;
}

/**
 * Seconds from the start of the score at a position, following the tempo map.
 *
 * @param score the score
 * @param ticks position in ticks
 * @returns seconds
 *
 * @example
 * ```ts
 * import { secondsOf } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const tempos = [
 *   { onsetTicks: 0, quartersPerMinute: 60, origin: "marked" as const },
 *   { onsetTicks: 480, quartersPerMinute: 120, origin: "marked" as const },
 * ];
 * assertEquals(secondsOf({ ticksPerQuarter: 480, bars: [], tempos }, 960), 1.5);
 * ```
 */
export function secondsOf(score: Timed, ticks: Ticks): Seconds {
  return clockOf(score)(ticks);
}

/**
 * Index of the bar a position lies in.
 *
 * @param score the score
 * @param ticks position in ticks
 * @returns index from 0; positions past the end give the last bar
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { barIndexOf } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * assertEquals(barIndexOf(score, score.bars[7]!.startTicks), 7);
 * ```
 */
export function barIndexOf(score: Pick<Score, "bars">, ticks: Ticks): number {
  checkArgument("find the bar", score, BARS);
  return lastAtOrBefore(score.bars, ticks, (b) => b.startTicks);
}

/**
 * Bar and beat of a position, as a musician counts: bars as printed, beats from 1 in units of the time
 * signature's lower figure. In a pickup bar the beats are counted back from the bar line.
 *
 * @param score the score
 * @param ticks position in ticks
 * @returns bar index, printed bar, beat and quarters
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { barBeatOf } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * const place = barBeatOf(score, score.bars[1]!.startTicks + score.ticksPerQuarter);
 * assertEquals([place.bar, place.beat], ["2", 2]);
 * ```
 */
export function barBeatOf(score: Timed, ticks: Ticks): BarBeat {
  checkArgument("find the bar", score, A_CLOCK);
  const barIndex = barIndexOf(score, ticks);
  const bar = score.bars[barIndex];
  if (!bar) return { barIndex: 0, bar: "1", beat: 1, quarters: quartersOf(score, ticks) };
  const unit = score.ticksPerQuarter * 4 / bar.beatUnit;
  return {
    barIndex,
    bar: bar.number,
    beat: (ticks - countedFrom(score, barIndex)) / unit + 1,
    quarters: quartersOf(score, ticks),
  };
}

/** Where the beats of a bar are counted from: its bar line, in a pickup bar where that would have been. */
export function countedFrom(score: Pick<Score, "bars" | "ticksPerQuarter">, barIndex: number): Ticks {
  const bar = score.bars[barIndex]!;
  const missing = barIndex === 0 ? fullBarTicks(bar, score.ticksPerQuarter) - bar.durationTicks : 0;
  return bar.startTicks - Math.max(0, missing);
}

/**
 * Length of the score.
 *
 * @param score the score
 * @returns ticks to the end of the last bar
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { endTicksOf } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * assertEquals(endTicksOf(score), score.bars.length * 4 * score.ticksPerQuarter);
 * ```
 */
export function endTicksOf(score: Pick<Score, "bars">): Ticks {
  checkArgument("find the end", score, BARS);
  const last = score.bars.at(-1);
  return last ? last.startTicks + last.durationTicks : 0;
}

/** Whether a metre counts in threes of its unit, whatever value that is written in; 2+2+2+3 do not. */
export function isInThrees({ beats, groups = [] }: Pick<Bar, "beats" | "groups">): boolean {
  return beats > 3 && beats % 3 === 0 && groups.every((n) => n === 3);
}

/** Whether a metre counts in threes of a short unit: 6/8, 9/8, 12/8, 6/16 and their like, but neither 3/8 nor 2+2+2+3/8. */
export function isCompound(metre: Pick<Bar, "beats" | "beatUnit" | "groups">): boolean {
  return metre.beatUnit >= 8 && isInThrees(metre);
}

/** Groups in which bars of five and seven are counted as a rule; common practice, no source. */
const USUAL_GROUPS: Readonly<Record<number, readonly number[]>> = { 5: [3, 2], 7: [2, 2, 3] };

/**
 * Groups in which a bar is counted, in units of its lower figure: its own, or the usual ones of five and seven; none where
 * all beats are alike.
 */
export function beatGroups({ beats, groups }: Pick<Bar, "beats" | "groups">): readonly number[] {
  const own = groups?.reduce((sum, n) => sum + n, 0) === beats ? groups : undefined;
  return own ?? USUAL_GROUPS[beats] ?? [];
}

/** Where the groups of a bar begin, in units of its lower figure from the bar line; the bar line alone without groups. */
export function groupStarts(bar: Pick<Bar, "beats" | "groups">): readonly number[] {
  let at = 0;
  return [0, ...beatGroups(bar).slice(0, -1).map((n) => at += n)];
}

/** Where the groups begin of a bar that is counted in groups of short values, in ticks from the bar line; the bar line alone in other bars. */
export function shortGroupTicks(bar: Bar, ticksPerQuarter: number): readonly Ticks[] {
  const unit = 4 * ticksPerQuarter / bar.beatUnit;
  return bar.beatUnit >= 8 ? groupStarts(bar).map((at) => at * unit) : [0];
}

/** Length of one beat of a bar: of its unit, or of three of them in 6/8, 9/8, 12/8 and their like. */
export function beatTicks(bar: Bar, ticksPerQuarter: number): Ticks {
  const unit = 4 * ticksPerQuarter / bar.beatUnit;
  return isCompound(bar) ? 3 * unit : unit;
}

/** Beats that a bar is counted in where strokes stand on one and three or on two and four: alla breve in four. */
export function beatsCounted(bar: Pick<Bar, "beats" | "beatUnit" | "groups">): number {
  if (isCompound(bar)) return bar.beats / 3;
  return bar.beats === 2 && bar.beatUnit <= 2 ? 4 : bar.beats;
}

/** Where a bar of a score ends, in ticks. */
export function endOfBar({ bars }: Pick<Score, "bars">, barIndex: number): Ticks {
  const { startTicks, durationTicks } = bars[barIndex]!;
  return startTicks + durationTicks;
}

/** Length of a bar that its time signature fills. */
export function fullBarTicks(
  { beats, beatUnit }: Pick<Bar, "beats" | "beatUnit">,
  ticksPerQuarter: number,
): Ticks {
  return beats * 4 * ticksPerQuarter / beatUnit;
}

/** Whether the first bar is shorter than its time signature: an upbeat. */
export function opensWithUpbeat(
  { bars: [first], ticksPerQuarter }: Pick<Score, "bars" | "ticksPerQuarter">,
): boolean {
  return first !== undefined && first.durationTicks < fullBarTicks(first, ticksPerQuarter);
}
