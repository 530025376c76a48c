/** The axis that most charts share: bars from left to right, with printed numbers, seconds and passages. */
import type { BarSpan, NamedSpan } from "./spans.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { printedPassages } from "../../measures/passages/printed_passages.ts";

export interface BarAxis extends BarSpan {
  /** Printed number of every bar shown. */
  readonly numbers: readonly string[];
  /** Start of every bar shown, in seconds from the start of the score. */
  readonly seconds: readonly number[];
  /** Named passages within the bars shown; some may have no name. */
  readonly passages: readonly NamedSpan[];
}

/** A row that knows its bar. */
interface AxisRow {
  readonly barIndex: number;
  readonly bar: string;
  readonly onsetSeconds: number;
}

/** The axis of a result's bars; the score gives the names of passages. */
export function axisOfRows(rows: readonly AxisRow[], score?: Score): BarAxis {
  return {
    fromBarIndex: rows[0]?.barIndex ?? 0,
    toBarIndex: rows.at(-1)?.barIndex ?? 0,
    numbers: rows.map((r) => r.bar),
    seconds: rows.map((r) => r.onsetSeconds),
    passages: score === undefined ? [] : namedPassages(score),
  };
}

/** The axis of a score's bars, by default of all. */
export function axisOfScore(
  score: Score,
  span: Partial<BarSpan> = {},
): BarAxis {
  const { fromBarIndex = 0, toBarIndex = score.bars.length - 1 } = span;
  const clock = clockOf(score);
  const bars = score.bars.slice(fromBarIndex, toBarIndex + 1);
  return {
    fromBarIndex,
    toBarIndex,
    numbers: bars.map((b) => b.number),
    seconds: bars.map((b) => clock(b.startTicks)),
    passages: namedPassages(score)
      .filter((p) => p.toBarIndex >= fromBarIndex && p.fromBarIndex <= toBarIndex)
      .map((p) => ({
        ...p,
        fromBarIndex: Math.max(p.fromBarIndex, fromBarIndex),
        toBarIndex: Math.min(p.toBarIndex, toBarIndex),
      })),
  };
}

function namedPassages(score: Score): readonly NamedSpan[] {
  const passages = printedPassages(score);
  return passages.some((p) => p.name !== "") ? passages : [];
}

/** Steps that musicians count bars in. */
const STEPS = [1, 2, 4, 5, 8, 10, 20, 25, 40, 50, 100, 200, 500, 1000];

/**
 * The bars whose numbers are written over a width in pixels: as many as fit, at round numbers, and the first.
 */
export function barTicks(
  axis: BarAxis,
  width: number,
): readonly { readonly barIndex: number; readonly number: string; readonly time: string }[] {
  const count = axis.toBarIndex - axis.fromBarIndex + 1;
  const pixelsPerBar = width / count;
  const step = STEPS.find((s) => s * pixelsPerBar >= 44) ?? 2000;
  const ticks: { barIndex: number; number: string; time: string }[] = [];
  axis.numbers.forEach((number, i) => {
    const value = /^\d+$/.test(number) ? Number(number) : undefined;
    const isRound = value === undefined ? i % step === 0 : value % step === 0;
    const last = ticks.at(-1);
    const far = last === undefined || (axis.fromBarIndex + i - last.barIndex) * pixelsPerBar >= 34;
    if (i === 0 || (isRound && far)) {
      ticks.push({ barIndex: axis.fromBarIndex + i, number, time: clockTime(axis.seconds[i] ?? 0) });
    }
  });
  return ticks;
}

/** Seconds as a clock shows them, for example `1:05`. */
function clockTime(seconds: number): string {
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

export function numberOf(axis: BarAxis, barIndex: number): string {
  return axis.numbers[barIndex - axis.fromBarIndex] ?? String(barIndex + 1);
}

/** Printed numbers of a span, for labels: `bars 5–8` or `bar 5`. */
export function barsInWords(axis: BarAxis, fromBarIndex: number, toBarIndex: number): string {
  const first = numberOf(axis, fromBarIndex);
  return fromBarIndex === toBarIndex ? `bar ${first}` : `bars ${first}–${numberOf(axis, toBarIndex)}`;
}
