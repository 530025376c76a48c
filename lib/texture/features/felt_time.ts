/** Time as it is felt: how long a beat is, where beats fall, how long notes last beside them. */
import type { Ticks } from "../../base/units.ts";
import type { Bar } from "../../score/model.ts";
import { clockOf, fullBarTicks, isInThrees, shortGroupTicks } from "../../score/time.ts";
import type { ScoreFrame } from "./score_frame.ts";

/** Time in one bar. */
export interface FeltBar {
  /** Bar line. */
  readonly startTicks: Ticks;
  /** From where beats are counted: the bar line, or before an upbeat where the bar line would have been. */
  readonly originTicks: Ticks;
  /** One beat as it is counted, three units of the metre in 6/8, 9/8, 12/8 and their like. */
  readonly beatTicks: number;
  /** Into how many parts a beat divides. */
  readonly divisions: 2 | 3;
  /** Values, the beat among them, that one rhythm may fill again and again. */
  readonly cellTicks: readonly number[];
  /** What lengths are measured in: a beat of simple time, two thirds of one in compound time, two where these go in twos and threes; a quarter as a rule. */
  readonly unitTicks: number;
  /** Where rhythms begin anew: the groups of 7/8 and the like, else the place beats are counted from. */
  readonly groupsFromTicks: readonly Ticks[];
  /** What one tick lasts. */
  readonly secondsPerTick: number;
}

/**
 * How beats are felt; model assumptions. Two beats in a bar, each of so many seconds or more, are felt in four, as alla
 * breve and a slow 2/4 are; the bound lies between the two beats of the quickest annotated alla breve (0.54) and those of a 2/4
 * at 120. Five or seven beats of so many seconds or less, as in 7/8, go in twos and threes. Beats of a second and a half, and longer ones, are halved, and shorter ones than a seventh of a second doubled.
 */
const FELT = { twoInFourFrom: 0.52, longest: 1.45, shortest: 0.15, pairedTo: 0.4 } as const;

/** Whether a metre has five, seven or more beats that make neither twos nor threes. */
const isUneven = ({ beats }: Bar) => beats >= 5 && beats % 2 === 1 && beats % 3 !== 0;

/** Ticks of a bar that are missing before its first note, where it is an upbeat or the second half of a divided bar. */
function missingBefore(score: ScoreFrame, barIndex: number): Ticks {
  const { bars, ticksPerQuarter } = score;
  const bar = bars[barIndex]!;
  const full = fullBarTicks(bar, ticksPerQuarter);
  const isHalfOf = (other: Bar | undefined) =>
    other !== undefined && other.durationTicks < full && other.durationTicks + bar.durationTicks === full;
  if (bar.durationTicks >= full) return 0;
  const completes = barIndex > 0 && isHalfOf(bars[barIndex - 1]);
  const begins = barIndex === 0 && !isHalfOf(bars[1]);
  return completes || begins ? full - bar.durationTicks : 0;
}

/** The value a bar is counted in, in ticks: the unit of its metre, or a half or double of it that is felt. */
function countedTicks(bar: Bar, quarter: Ticks, secondsPerTick: number): number {
  const beats = bar.beats === 8 ? 4 : bar.beats;
  let ticks = fullBarTicks(bar, quarter) / beats;
  if (beats === 2 && ticks * secondsPerTick >= FELT.twoInFourFrom) ticks /= 2;
  while (ticks * secondsPerTick > FELT.longest) ticks /= 2;
  while (ticks > 0 && ticks * secondsPerTick < FELT.shortest) ticks *= 2;
  return ticks;
}

/**
 * How time is felt in every bar. Nothing of it depends on the note values a piece is written in, as long as metre and
 * tempo say the same, nor on what stands before a bar.
 */
export function feltBars(score: ScoreFrame): readonly FeltBar[] {
  const clock = clockOf(score);
  return score.bars.map((bar, b): FeltBar => {
    const { startTicks, durationTicks } = bar;
    const secondsPerTick = (clock(startTicks + durationTicks) - clock(startTicks)) /
      Math.max(1, durationTicks);
    const counted = countedTicks(bar, score.ticksPerQuarter, secondsPerTick);
    const inThrees = isInThrees(bar);
    const inPairs = isUneven(bar) && counted * secondsPerTick <= FELT.pairedTo;
    const unitTicks = inThrees || inPairs ? 2 * counted : counted;
    const beatTicks = inThrees ? 3 * counted : counted;
    const originTicks = startTicks - missingBefore(score, b);
    return {
      startTicks,
      originTicks,
      groupsFromTicks: shortGroupTicks(bar, score.ticksPerQuarter).map((at) => originTicks + at),
      beatTicks,
      divisions: inThrees ? 3 : 2,
      cellTicks: unitTicks === beatTicks ? [unitTicks] : [unitTicks, beatTicks],
      unitTicks,
      secondsPerTick,
    };
  });
}

/** Where in a value counted from the bar line a place lies, 0 up to, but not including, 1. */
export function placeIn(ticks: number, { originTicks }: FeltBar, valueTicks: number): number {
  const place = (ticks - originTicks) / valueTicks;
  const part = place - Math.floor(place);
  return part > 1 - 1e-6 ? 0 : part;
}

/** Whether a place is on a beat. */
export function isOnBeat(ticks: number, felt: FeltBar): boolean {
  return placeIn(ticks, felt, felt.beatTicks) < 1e-6;
}
