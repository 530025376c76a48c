/** Momentum of one bar for any choice of its members, prepared once so that thousands of choices are quick. */
import type { DrivingEvent, Stroke } from "./driving_events.ts";
import { pulsePeriodSalience } from "./pulse_salience.ts";
import type { MomentumBar } from "./results.ts";

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

/** What the index is made of, and the index. */
export type BarComponents = Pick<
  MomentumBar,
  "momentum" | "attackRate" | "pulseSalience" | "regularity" | "syncopatedShare"
>;

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

const SILENT: BarComponents = {
  momentum: 0,
  attackRate: 0,
  pulseSalience: 0,
  regularity: 0,
  syncopatedShare: 0,
};

/** Momentum of a bar for any subset of its members, given as the sum of 2 ** i over the members i in it. */
export interface BarMomentum {
  /** The index alone. */
  readonly valueOf: (subset: number) => number;
  /** The index and what it is made of. */
  readonly componentsOf: (subset: number) => BarComponents;
}

/**
 * Prepares a bar. Whatever does not depend on who plays is worked out here.
 *
 * A listener may attend to the strongest events only, or to all: at every level of attention from 0 to 1 the events of
 * that weight and more are felt, and every rate is the mean over the levels. Since more attacks never make fewer
 * pulses, fewer steady ones, or fewer driving ones on the whole, nothing falls when a stroke grows stronger; and since
 * halved weights are felt at half the levels, all rates go by the weights.
 *
 * @param window the bar among its neighbours
 * @param c the constants
 * @param memberOf which member a stroke belongs to, from 0; -1 for one that is always there
 * @returns functions of subsets
 */
export function barMomentum(
  window: BarWindow,
  c: BarConstants,
  memberOf: (stroke: Stroke) => number,
): BarMomentum {
  const { from, to, seconds } = window;
  if (seconds <= 0 || from === to) return { valueOf: () => 0, componentsOf: () => SILENT };
  const kinds = kindsOf(window, memberOf);
  const chances = chancesOf(kinds.strokes);
  const { of } = kinds;
  const fusing = fusingCount(window, c);
  const rows = rowsOf(window, { of, none: kinds.strokes.length, isFusing: fusing !== undefined }, c);
  const offbeats = offbeatsOf(window, c);
  const count = to - from;
  const felt = new Float64Array(count);
  const feltAsPulse = new Float64Array(count);
  /** Attacks, steady ones, pulses and syncopated ones that are felt. */
  const counts = new Float64Array(4);
  const weigh = (subset: number): void => {
    const { weight, accented } = chances(subset);
    for (let i = 0; i < count; i++) felt[i] = weight[of[from + i]!]!;
    counts[0] = (fusing ?? added)(felt);

    let steady = 0;
    let pulse = 0;
    for (const { comfort, own, before, beforeThat, times } of rows) {
      let steadyHere = 0;
      let pulseHere = 0;
      for (let i = 0; i < own.length; i++) {
        const w = weight[own[i]!]!;
        const back = weight[before[i]!]!;
        const further = weight[beforeThat[i]!]!;
        const least = w < back ? w < further ? w : further : back < further ? back : further;
        const accent = accented[own[i]!]!;
        felt[i] = least;
        feltAsPulse[i] = least < accent ? least : accent;
        steadyHere += felt[i]! * times[i]!;
        pulseHere += feltAsPulse[i]! * times[i]!;
      }
      if (fusing) {
        steadyHere = fusing(felt);
        pulseHere = fusing(feltAsPulse);
      }
      if (steadyHere > steady) steady = steadyHere;
      if (comfort * pulseHere > pulse) pulse = comfort * pulseHere;
    }

    let syncopated = 0;
    for (const { event, held, first } of offbeats) {
      const own = weight[of[event]!]!;
      let taken = 0;
      for (let k = event + 1; k < first; k++) taken = Math.max(taken, weight[of[k]!]!);
      const last = held.length - 1;
      for (let k = 0; k < last && taken < own; k++) {
        const next = Math.min(own, weight[of[first + k]!]!);
        if (next <= taken) continue;
        syncopated += (next - taken) * held[k]!;
        taken = next;
      }
      if (taken < own) syncopated += (own - taken) * held[last]!;
    }

    counts[1] = steady;
    counts[2] = pulse;
    counts[3] = syncopated;
  };
  const driving = () =>
    (c.rateWeight * counts[0]! + c.regularityWeight * counts[1]! + c.pulseWeight * counts[2]! +
      c.syncopationWeight * counts[3]!) / seconds;
  return {
    valueOf: (subset) => {
      weigh(subset);
      return driving();
    },
    componentsOf: (subset) => {
      weigh(subset);
      const attacks = counts[0]!;
      if (attacks <= 0) return SILENT;
      return {
        momentum: driving(),
        attackRate: attacks / seconds,
        pulseSalience: counts[2]! / attacks,
        regularity: counts[1]! / attacks,
        syncopatedShare: counts[3]! / attacks,
      };
    },
  };
}

/** One stroke of a kind of event, for one layer and member. */
interface MemberStroke {
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
function kindsOf(
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

/** Chances of being felt for a subset, one per kind of event. */
interface Chances {
  readonly weight: Float64Array;
  readonly accented: Float64Array;
}

/**
 * Strokes of one layer at once are one stroke, the strongest; those of several layers are independent chances:
 * w = 1 - product(1 - w_layer).
 */
function chancesOf(kinds: readonly (readonly MemberStroke[])[]): (subset: number) => Chances {
  const starts = new Int32Array(kinds.length + 1);
  for (let k = 0; k < kinds.length; k++) starts[k + 1] = starts[k]! + kinds[k]!.length;
  const count = starts[kinds.length]!;
  const member = new Int32Array(count);
  const weights = new Float64Array(count);
  const accents = new Float64Array(count);
  const isNewLayer = new Uint8Array(count);
  let members = 0;
  let s = 0;
  for (const own of kinds) {
    own.forEach((stroke, i) => {
      member[s] = stroke.member;
      weights[s] = stroke.weight;
      accents[s] = stroke.accented;
      isNewLayer[s] = i > 0 && own[i - 1]!.layer !== stroke.layer ? 1 : 0;
      members = Math.max(members, stroke.member);
      s++;
    });
  }
  const isIn = new Uint8Array(members + 1);
  /** Members a kind depends on, one bit each; all bits where there are too many members for that. */
  const masks = new Int32Array(kinds.length);
  kinds.forEach((own, kind) => {
    for (const { member } of own) masks[kind]! |= members > 30 ? -1 : 1 << member;
  });
  let before = -1;
  // One more for no event at all, which is never felt.
  const weight = new Float64Array(kinds.length + 1);
  const accented = new Float64Array(kinds.length + 1);
  isIn[0] = 1;
  return (subset) => {
    for (let m = 1, rest = subset; m < isIn.length; m++, rest = Math.floor(rest / 2)) isIn[m] = rest % 2;
    // Only kinds whose members have come or gone since the subset before are worked out anew.
    const changed = before < 0 || members > 30 ? -1 : (subset ^ before) << 1;
    before = subset;
    for (let kind = 0; kind < kinds.length; kind++) {
      if ((masks[kind]! & changed) === 0 && changed !== -1) continue;
      let miss = 1;
      let missAccented = 1;
      let strongest = 0;
      let loudest = 0;
      for (let s = starts[kind]!; s < starts[kind + 1]!; s++) {
        if (isNewLayer[s] === 1) {
          miss *= 1 - strongest;
          missAccented *= 1 - loudest;
          strongest = loudest = 0;
        }
        if (isIn[member[s]!] === 0) continue;
        if (weights[s]! > strongest) strongest = weights[s]!;
        if (accents[s]! > loudest) loudest = accents[s]!;
      }
      weight[kind] = 1 - miss * (1 - strongest);
      accented[kind] = 1 - missAccented * (1 - loudest);
    }
    return { weight, accented };
  };
}

/**
 * Separate attacks of the bar, mean over the levels of attention: at each level the events of that weight and more are
 * felt, and one closer than the fusion limit to the last one felt counts in part.
 *
 * @param window the bar
 * @param c the constants
 * @returns a function of the events' weights, or undefined where no two are near enough to fuse, so that they just add up
 */
function fusingCount(
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
      for (const w of felt) if (w > below && w < level) level = w;
      if (level === Infinity) return sum;
      let attacks = 0;
      let before = -Infinity;
      for (let i = 0; i < felt.length; i++) {
        if (felt[i]! < level) continue;
        attacks += Math.min(1, (seconds[i]! - before) / c.fusionSeconds);
        before = seconds[i]!;
      }
      sum += (level - below) * attacks;
      below = level;
    }
  };
}

/** Sum of weights. */
function added(felt: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < felt.length; i++) sum += felt[i]!;
  return sum;
}

/** A period, and for the events of the bar their kind and those of the events a period and two before. */
interface Row {
  readonly comfort: number;
  readonly own: readonly number[];
  readonly before: readonly number[];
  readonly beforeThat: readonly number[];
  /** How many events of the bar each stands for: one, where any of the bar's events fuse. */
  readonly times: readonly number[];
}

/** Kinds of the events; `none` for an event that is not there. */
interface KindsOfEvents {
  readonly of: Int32Array;
  readonly none: number;
  readonly isFusing: boolean;
}

function rowsOf(window: BarWindow, kinds: KindsOfEvents, c: BarConstants): readonly Row[] {
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
interface Offbeat {
  readonly event: number;
  readonly first: number;
  /** One value per next event from `first`, 0 to 1; the last holds for all that come later, and for none at all. */
  readonly held: Float64Array;
}

/**
 * Events that may be held over a stronger position, by Longuet-Higgins and Lee: the difference of the weights over
 * what counts in full. A note must last beyond the fusion limit to be held over anything.
 */
function offbeatsOf({ events, from, to, grid }: BarWindow, c: BarConstants): readonly Offbeat[] {
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
