/** One bar among its neighbours, and everything about its rhythm that does not depend on who plays. */
import type { DrivingEvent, Stroke } from "./driving_events.ts";
import { pulsePeriodSalience } from "./pulse_salience.ts";

/** Positions of the metrical grid, in order, with their weights. */
export interface MetricGrid {
  /** Positions in ticks. */
  readonly ticks: readonly number[];
  /** Weight of each: 0 for a downbeat, less further down. */
  readonly weights: readonly number[];
}

/** One bar among its neighbours, with everything its momentum depends on. */
export interface BarWindow {
  /** Events from far enough back to the end of the next bar, in order of time. */
  readonly events: readonly DrivingEvent[];
  /** Index of the first event of the bar itself. */
  readonly from: number;
  /** Index after the last. */
  readonly to: number;
  /** Length of the bar in seconds. */
  readonly seconds: number;
  /** Mean tempo of the bar. */
  readonly ticksPerSecond: number;
  /** Grid of the score. */
  readonly ticksPerQuarter: number;
  /** Grid of the bar and the next. */
  readonly grid: MetricGrid;
}

/** The constants of momentum that a bar is weighed with. */
export type BarConstants = Readonly<
  Record<
    | "fusionSeconds"
    | "mergeSeconds"
    | "slowestPulseSeconds"
    | "pulseCentreSeconds"
    | "pulseSpreadLog10"
    | "rateWeight"
    | "regularityWeight"
    | "pulseWeight"
    | "syncopationWeight"
    | "fullSyncopation",
    number
  >
>;

/** Seconds by which sums of the tempo map may be out. */
const ROUNDING = 1e-9;

/** Periods tried for a steady row, in quarters: the common values, halved, dotted, and in threes, fives and sixes. */
export const PERIOD_QUARTERS = [
  1 / 6,
  1 / 5,
  1 / 4,
  1 / 3,
  1 / 2,
  2 / 3,
  3 / 4,
  1,
  3 / 2,
  2,
  3,
  4,
  6,
] as const;

/** One stroke of a kind of event, for one layer and member. */
export interface MemberStroke {
  readonly layer: string;
  /** Member from 1; 0 for one that is always there. */
  readonly member: number;
  weight: number;
  accented: number;
}

/**
 * Events with the same strokes are one kind, and worked out once. Those of the next bar are there for everybody: they
 * only end what is held into it.
 */
export function kindsOf(
  { events, to }: BarWindow,
  memberOf: (stroke: Stroke) => number,
): { readonly of: Int32Array; readonly strokes: readonly (readonly MemberStroke[])[] } {
  const kinds = new Map<readonly Stroke[], number>();
  const of = new Int32Array(events.length);
  events.forEach(({ strokes }, i) => {
    const known = kinds.get(strokes) ?? kinds.size;
    if (known === kinds.size) kinds.set(strokes, known);
    of[i] = known;
  });
  const next = new Set(events.slice(to).map((e) => e.strokes));
  const strokes = [...kinds.keys()].map((list) => {
    const own: MemberStroke[] = [];
    for (const stroke of list) {
      const { layer, weight, accented } = stroke;
      const member = next.has(list) ? 0 : memberOf(stroke) + 1;
      const same = own.find((s) => s.layer === layer && s.member === member);
      if (same) {
        same.weight = Math.max(same.weight, weight);
        same.accented = Math.max(same.accented, accented);
      } else own.push({ layer, member, weight, accented });
    }
    return own.sort((a, b) => a.layer < b.layer ? -1 : a.layer > b.layer ? 1 : a.member - b.member);
  });
  return { of, strokes };
}

/**
 * Separate attacks of the bar, mean over the levels of attention: at each level the events of that weight and more are
 * felt, and one closer than the fusion limit to the last one felt counts in part.
 *
 * @param window the bar
 * @param c the constants
 * @returns a function of the events' weights, or undefined where no two are near enough to fuse, so that they just add up
 */
export function fusingCount(
  { events, from, to }: BarWindow,
  c: BarConstants,
): ((felt: Float64Array) => number) | undefined {
  const seconds = new Float64Array(to - from);
  let isAny = false;
  for (let i = 0; i < seconds.length; i++) {
    seconds[i] = events[from + i]!.seconds;
    if (i > 0 && seconds[i]! - seconds[i - 1]! < c.fusionSeconds) isAny = true;
  }
  if (!isAny) return undefined;
  return (felt) => {
    let sum = 0;
    let below = 0;
    while (true) {
      // The next level up from `below`; between them the same events are felt.
      let level = Infinity;
      for (let i = 0; i < felt.length; i++) {
        const w = felt[i]!;
        if (w > below && w < level) level = w;
      }
      if (level === Infinity) return sum;
      let attacks = 0;
      let before = -Infinity;
      for (let i = 0; i < felt.length; i++) {
        if (felt[i]! < level) continue;
        const gap = seconds[i]! - before;
        attacks += gap < c.fusionSeconds ? gap / c.fusionSeconds : 1;
        before = seconds[i]!;
      }
      sum += (level - below) * attacks;
      below = level;
    }
  };
}

/** A period, and for the events of the bar their kind and those of the events a period and two before. */
export interface Row {
  readonly comfort: number;
  readonly own: readonly number[];
  readonly before: readonly number[];
  readonly beforeThat: readonly number[];
  /** How many events of the bar each stands for: one, where any of the bar's events fuse. */
  readonly times: readonly number[];
}

/** Kinds of the events; `none` for an event that is not there. */
export interface KindsOfEvents {
  readonly of: Int32Array;
  readonly none: number;
  readonly isFusing: boolean;
}

export function rowsOf(window: BarWindow, kinds: KindsOfEvents, c: BarConstants): readonly Row[] {
  const { events, from, to, ticksPerSecond, ticksPerQuarter } = window;
  const { of, none, isFusing } = kinds;
  const ticks = new Float64Array(to);
  for (let i = 0; i < to; i++) ticks[i] = events[i]!.ticks;
  const back = new Int32Array(to);
  const rows: Row[] = [];
  for (const quarters of PERIOD_QUARTERS) {
    const period = quarters * ticksPerQuarter;
    const seconds = period / ticksPerSecond;
    if (seconds < c.fusionSeconds - ROUNDING || seconds > c.slowestPulseSeconds + ROUNDING) continue;
    findBefore(back, { ticks, period, slack: c.mergeSeconds / 2 * ticksPerSecond });
    const own: number[] = [];
    const before: number[] = [];
    const beforeThat: number[] = [];
    const times: number[] = [];
    let isAny = false;
    for (let i = from; i < to; i++) {
      const j = back[i]!;
      const k = j < 0 ? -1 : back[j]!;
      isAny ||= k >= 0;
      if (isFusing) {
        own.push(of[i]!);
        before.push(k < 0 ? none : of[j]!);
        beforeThat.push(k < 0 ? none : of[k]!);
        times.push(1);
        continue;
      }
      if (k < 0) continue;
      const alike = own.findIndex((kind, n) =>
        kind === of[i] && before[n] === of[j] && beforeThat[n] === of[k]
      );
      if (alike >= 0) {
        times[alike]!++;
        continue;
      }
      own.push(of[i]!);
      before.push(of[j]!);
      beforeThat.push(of[k]!);
      times.push(1);
    }
    if (!isAny) continue;
    const comfort = pulsePeriodSalience(seconds, {
      centreSeconds: c.pulseCentreSeconds,
      spreadLog10: c.pulseSpreadLog10,
    });
    rows.push({ comfort, own, before, beforeThat, times });
  }
  return rows;
}

/** Writes down for every event the one nearest to a period before it, or -1 where none is near enough. */
function findBefore(
  back: Int32Array,
  { ticks, period, slack }: { readonly ticks: Float64Array; readonly period: number; readonly slack: number },
): void {
  let j = 0;
  for (let i = 0; i < ticks.length; i++) {
    const wanted = ticks[i]! - period;
    while (j + 1 < i && Math.abs(ticks[j + 1]! - wanted) <= Math.abs(ticks[j]! - wanted)) j++;
    back[i] = i > 0 && Math.abs(ticks[j]! - wanted) <= slack ? j : -1;
  }
}

/**
 * Strength of the syncopations of a bar as written, every event taken as felt: for each that is held over a
 * position stronger than its own, in the bar or into the next, the difference of the two weights.
 *
 * @param window the bar among its neighbours
 * @returns the sum of strengths
 *
 * Source: Longuet-Higgins and Lee, The rhythmic interpretation of monophonic music, Music Perception 1 (1984)
 * 424-441.
 */
export function writtenSyncopation({ events, from, to, grid }: BarWindow): number {
  let total = 0;
  let p = 0;
  for (let event = from; event < to; event++) {
    const { ticks } = events[event]!;
    while (p < grid.ticks.length && grid.ticks[p]! < ticks) p++;
    if (grid.ticks[p] !== ticks) continue;
    const own = grid.weights[p]!;
    const end = events[event + 1]?.ticks ?? Infinity;
    let strongest = own;
    for (let q = p + 1; q < grid.ticks.length && grid.ticks[q]! < end; q++) {
      strongest = Math.max(strongest, grid.weights[q]!);
    }
    total += strongest - own;
  }
  return total;
}

/** An event off the beat: how far it is syncopated when the next one felt is the first that could be, or a later one. */
export interface Offbeat {
  readonly event: number;
  readonly first: number;
  /** One value per next event from `first`, 0 to 1; the last holds for all that come later, and for none at all. */
  readonly held: Float64Array;
}

/**
 * Events that may be held over a stronger position, by Longuet-Higgins and Lee: the difference of the weights over
 * what counts in full. A note must last beyond the fusion limit to be held over anything.
 */
export function offbeatsOf({ events, from, to, grid }: BarWindow, c: BarConstants): readonly Offbeat[] {
  const offbeats: Offbeat[] = [];
  let position = 0;
  for (let event = from; event < to; event++) {
    const { ticks, seconds } = events[event]!;
    while (position < grid.ticks.length && grid.ticks[position]! < ticks) position++;
    if (grid.ticks[position] !== ticks) continue;
    const own = grid.weights[position]!;
    const held: number[] = [];
    let first = -1;
    let strongest = -Infinity;
    let p = position + 1;
    for (let next = event + 1; next <= events.length; next++) {
      const end = events[next];
      for (; p < grid.ticks.length && (end === undefined || grid.ticks[p]! < end.ticks); p++) {
        strongest = Math.max(strongest, grid.weights[p]!);
      }
      const strength = Math.min(1, Math.max(0, strongest - own) / c.fullSyncopation);
      if (strength <= 0) continue;
      if (first < 0) first = next;
      const beyond = end === undefined ? 1 : (end.seconds - seconds - c.fusionSeconds) / c.fusionSeconds;
      held.push(strength * Math.min(1, Math.max(0, beyond)));
      if (strength >= 1 && beyond >= 1) break;
    }
    if (first >= 0) offbeats.push({ event, first, held: Float64Array.from(held) });
  }
  return offbeats;
}
