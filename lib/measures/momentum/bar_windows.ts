/** Every bar of a score among its neighbours, as its momentum needs it. */
import type { Bar, Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import type { BarConstants, BarWindow, MetricGrid } from "./bar_rhythm.ts";
import type { DrivingBar, DrivingEvent } from "./driving_events.ts";
import { metricalWeights } from "./syncopation.ts";

/**
 * Puts the events of every bar beside those before it that a row may come from, and those of the next bar.
 */
export function barWindows(
  score: Score,
  bars: readonly DrivingBar[],
  c: BarConstants,
): readonly BarWindow[] {
  const clock = clockOf(score);
  const { ticksPerQuarter } = score;
  const grids = score.bars.map((bar, b) => gridOf(bar, b === 0, ticksPerQuarter / 4));
  const lengths = score.bars.map((bar) => clock(bar.startTicks + bar.durationTicks) - clock(bar.startTicks));
  return score.bars.map((bar, b) => {
    const seconds = lengths[b]!;
    const ticksPerSecond = seconds > 0 ? bar.durationTicks / seconds : 1;
    const earliest = bar.startTicks - (2 * c.slowestPulseSeconds + c.mergeSeconds) * ticksPerSecond;
    let first = b;
    while (first > 0 && score.bars[first]!.startTicks > earliest) first--;
    const before: DrivingEvent[] = [];
    for (let k = first; k < b; k++) {
      for (const event of bars[k]!.events) if (event.ticks >= earliest) before.push(event);
    }
    const own = bars[b]!.events;
    return {
      events: [...before, ...own, ...bars[b + 1]?.events ?? []],
      from: before.length,
      to: before.length + own.length,
      seconds,
      ticksPerSecond,
      ticksPerQuarter,
      grid: joined(grids[b]!, grids[b + 1]),
    };
  });
}

/** Metrical weights in sixteenths; of a short first bar the last ones, since a pickup leads into the bar line. */
function gridOf(bar: Bar, isFirst: boolean, sixteenth: number): MetricGrid {
  const all = metricalWeights(bar.beats, bar.beatUnit, 16);
  const count = Math.min(all.length, Math.round(bar.durationTicks / sixteenth));
  const weights = isFirst ? all.slice(all.length - count) : all.slice(0, count);
  return { weights, ticks: weights.map((_, i) => bar.startTicks + i * sixteenth) };
}

function joined(grid: MetricGrid, next: MetricGrid | undefined): MetricGrid {
  if (!next) return grid;
  return { ticks: [...grid.ticks, ...next.ticks], weights: [...grid.weights, ...next.weights] };
}
