/** The axis that most charts share: bars from left to right, with printed numbers, seconds and passages. */
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { printedPassages } from "../../measures/passages/printed_passages.ts";

/** Bars along a chart. */
export interface BarAxis {
  /** First bar shown, index from 0. */
  readonly fromBar: number;
  /** Last bar shown, inclusive. */
  readonly toBar: number;
  /** Printed number of every bar shown. */
  readonly numbers: readonly string[];
  /** Start of every bar shown, in seconds from the start of the score. */
  readonly seconds: readonly number[];
  /** Named passages within the bars shown. */
  readonly passages: readonly AxisPassage[];
}

/** A named span of bars. */
export interface AxisPassage {
  /** Name; empty where the score names none. */
  readonly name: string;
  /** First bar, index from 0. */
  readonly fromBar: number;
  /** Last bar, inclusive. */
  readonly toBar: number;
}

/** A row that knows its bar. */
export interface AxisRow {
  /** Bar index from 0. */
  readonly bar: number;
  /** Printed bar. */
  readonly barNumber: string;
  /** Start in seconds. */
  readonly onsetSeconds: number;
}

/**
 * The axis of a result's bars.
 *
 * @param rows one row per bar, in order
 * @param score the score, for names of passages
 * @returns the axis
 */
export function axisOfRows(rows: readonly AxisRow[], score?: Score): BarAxis {
  return {
    fromBar: rows[0]?.bar ?? 0,
    toBar: rows.at(-1)?.bar ?? 0,
    numbers: rows.map((r) => r.barNumber),
    seconds: rows.map((r) => r.onsetSeconds),
    passages: score === undefined ? [] : namedPassages(score),
  };
}

/**
 * The axis of a score's bars.
 *
 * @param score the score
 * @param span first and last bar, indexes from 0; by default all
 * @returns the axis
 */
export function axisOfScore(
  score: Score,
  span: { readonly fromBar?: number; readonly toBar?: number } = {},
): BarAxis {
  const { fromBar = 0, toBar = score.bars.length - 1 } = span;
  const clock = clockOf(score);
  const bars = score.bars.slice(fromBar, toBar + 1);
  return {
    fromBar,
    toBar,
    numbers: bars.map((b) => b.number),
    seconds: bars.map((b) => clock(b.startTicks)),
    passages: namedPassages(score)
      .filter((p) => p.toBar >= fromBar && p.fromBar <= toBar)
      .map((p) => ({ ...p, fromBar: Math.max(p.fromBar, fromBar), toBar: Math.min(p.toBar, toBar) })),
  };
}

function namedPassages(score: Score): readonly AxisPassage[] {
  const passages = printedPassages(score);
  return passages.some((p) => p.name !== "") ? passages : [];
}

/** Steps that musicians count bars in. */
const STEPS = [1, 2, 4, 5, 8, 10, 20, 25, 40, 50, 100, 200, 500, 1000];

/**
 * The bars whose numbers are written: as many as fit, at round numbers, and the first.
 *
 * @param axis the bars
 * @param width width of all bars in pixels
 * @returns bar indexes with what is written at each
 */
export function barTicks(
  axis: BarAxis,
  width: number,
): readonly { readonly bar: number; readonly number: string; readonly time: string }[] {
  const count = axis.toBar - axis.fromBar + 1;
  const pixelsPerBar = width / count;
  const step = STEPS.find((s) => s * pixelsPerBar >= 44) ?? 2000;
  const ticks: { bar: number; number: string; time: string }[] = [];
  axis.numbers.forEach((number, i) => {
    const value = /^\d+$/.test(number) ? Number(number) : undefined;
    const isRound = value === undefined ? i % step === 0 : value % step === 0;
    const last = ticks.at(-1);
    const far = last === undefined || (axis.fromBar + i - last.bar) * pixelsPerBar >= 34;
    if (i === 0 || (isRound && far)) {
      ticks.push({ bar: axis.fromBar + i, number, time: clockTime(axis.seconds[i] ?? 0) });
    }
  });
  return ticks;
}

/**
 * Seconds as a clock shows them.
 *
 * @param seconds seconds from the start
 * @returns for example `1:05`
 */
export function clockTime(seconds: number): string {
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

/**
 * Printed numbers of a span, for labels.
 *
 * @param axis the bars
 * @param fromBar first bar, index from 0
 * @param toBar last bar, inclusive
 * @returns for example `bars 5–8` or `bar 5`
 */
export function barsInWords(axis: BarAxis, fromBar: number, toBar: number): string {
  const first = axis.numbers[fromBar - axis.fromBar] ?? String(fromBar + 1);
  const last = axis.numbers[toBar - axis.fromBar] ?? String(toBar + 1);
  return fromBar === toBar ? `bar ${first}` : `bars ${first}–${last}`;
}
