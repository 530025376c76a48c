/** One bar among its neighbours, and everything about its rhythm that does not depend on who plays. */
import type { DrivingAttack, DrivingEvent } from "./driving_events.ts";
import { pulsePeriodSalience } from "./pulse_salience.ts";

/** Positions of the metrical grid, in order, with their weights. */
export interface MetricGrid {
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
  readonly seconds: number;
  /** Mean tempo of the bar. */
  readonly ticksPerSecond: number;
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
const PERIOD_QUARTERS = [
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

/** What one member gives a kind of event in one layer. */
export interface MemberStrokes {
  readonly layer: string;
  /** Number that tells it from the others of its bar. */
  readonly number: number;
  /** Member from 1; 0 for one that is always there. */
  readonly member: number;
  /** How many notes it begins, and how many its layer does with everybody. */
  readonly notes: number;
  readonly layerNotes: number;
  /** Its strokes, of which the strongest is felt. */
  readonly strokes: readonly DrivingAttack[];
}

/** Events with the same strokes. */
export interface EventKind {
  /** Layers of which one member strikes. */
  readonly single: readonly MemberStrokes[];
  /** Layers of which several members strike: what each gives. */
  readonly several: readonly (readonly MemberStrokes[])[];
  /** How many entries both have. */
  readonly strikers: number;
}

/** Events with the same strokes are one kind, and worked out once. */
export function kindsOf(
  { events, to }: BarWindow,
): {
  readonly of: Int32Array;
  readonly strokes: readonly (readonly DrivingAttack[])[];
  readonly next: number;
} {
  const numbers = new Map<readonly DrivingAttack[], number>();
  const of = new Int32Array(events.length);
  let next = 0;
  for (let i = 0; i < events.length; i++) {
    if (i === to) next = numbers.size;
    const { strokes } = events[i]!;
    let known = numbers.get(strokes);
    if (known === undefined) numbers.set(strokes, known = numbers.size);
    of[i] = known;
  }
  return { of, strokes: [...numbers.keys()], next: to < events.length ? next : numbers.size };
}

/** Who strikes in a kind of event. Members count from 1; 0 is a stroke that is always there. */
export function eventKind(
  strokes: readonly DrivingAttack[],
  memberOf: (stroke: DrivingAttack) => number,
  first: number,
): EventKind {
  let number = first;
  const layers: (Omit<MemberStrokes, "strokes" | "notes"> & { notes: number; strokes: DrivingAttack[] })[][] =
    [];
  for (const stroke of strokes) {
    const { layer, notes, layerNotes } = stroke;
    const member = memberOf(stroke);
    const ofLayer = layers.find((members) => members[0]!.layer === layer);
    const same = ofLayer?.find((one) => one.member === member);
    if (same === undefined) {
      const one = { layer, number: number++, member, notes, layerNotes, strokes: [stroke] };
      if (ofLayer === undefined) layers.push([one]);
      else ofLayer.push(one);
    } else {
      same.notes += notes;
      same.strokes.push(stroke);
    }
  }
  return {
    single: layers.filter((members) => members.length === 1).map((members) => members[0]!),
    several: layers.filter((members) => members.length > 1),
    strikers: number - first,
  };
}

/**
 * Events that count by who is felt next to them. At each level of attention up to their weight, the neighbour that is felt
 * is the nearest of that weight or more.
 */
export interface Chain {
  /** Kind of the events. */
  readonly kind: number;
  /** Kinds of their neighbours, the nearest first; none is of their own kind, and none stands twice. */
  readonly neighbours: readonly number[];
  /** What they count where each neighbour is the one that is felt. */
  readonly counts: readonly number[];
  /** What they count where none of them is felt. */
  readonly beyond: number;
}

/** A chain while it is being linked. */
interface OpenChain {
  readonly kind: number;
  readonly neighbours: number[];
  readonly counts: number[];
  beyond: number;
}

/** Of most events nothing is near. */
const NONE: number[] = [];

/** Links the next neighbour to the chain of one event, and says whether more may follow. */
function link(chain: OpenChain, neighbour: number, count: number): boolean {
  if (neighbour === chain.kind) {
    // Where an event of the same kind is next, no level is left for what lies behind it.
    chain.beyond = count;
    return false;
  }
  if (!chain.neighbours.includes(neighbour)) {
    chain.neighbours.push(neighbour);
    chain.counts.push(count);
  }
  return true;
}

/** Adds a chain to those there are; what chains of the same kinds count is added. */
function gather(chains: OpenChain[], chain: OpenChain): void {
  // What lies further off counts as much at least: where that is nothing, nothing counts.
  if (chain.beyond === 0) return;
  const same = chains.find(({ kind, neighbours }) =>
    kind === chain.kind && neighbours.length === chain.neighbours.length &&
    neighbours.every((neighbour, i) => neighbour === chain.neighbours[i])
  );
  if (same === undefined) chains.push(chain);
  else {
    same.beyond += chain.beyond;
    for (let i = 0; i < chain.counts.length; i++) same.counts[i]! += chain.counts[i]!;
  }
}

/**
 * What the events of a bar count as attacks: one closer than the fusion limit to the last one felt in the bar counts
 * the gap over the limit, all others in full. Kind -1 is an event that is never felt.
 */
export function attackChains(
  { events, from, to }: BarWindow,
  kinds: ArrayLike<number>,
  c: BarConstants,
): readonly Chain[] {
  const chains: OpenChain[] = [];
  for (let i = from; i < to; i++) {
    const kind = kinds[i - from]!;
    if (kind < 0) continue;
    const isNear = i > from && events[i]!.seconds - events[i - 1]!.seconds < c.fusionSeconds;
    if (!isNear) {
      gather(chains, { kind, neighbours: NONE, counts: NONE, beyond: 1 });
      continue;
    }
    const chain: OpenChain = { kind, neighbours: [], counts: [], beyond: 1 };
    for (let j = i - 1; j >= from; j--) {
      const gap = events[i]!.seconds - events[j]!.seconds;
      if (gap >= c.fusionSeconds) break;
      const neighbour = kinds[j - from]!;
      if (neighbour >= 0 && !link(chain, neighbour, gap / c.fusionSeconds)) break;
    }
    gather(chains, chain);
  }
  return chains;
}

/** An event and those a period and two before it, by their kinds. */
export type Triple = readonly [own: number, before: number, beforeThat: number];

/** A period in which events may stand in a row. */
interface SteadyPeriod {
  /** How comfortable the period is as a pulse, 0 to 1. */
  readonly comfort: number;
  /** What the events of the bar that continue a row count as attacks, by their triples. */
  readonly chains: readonly Chain[];
}

/** Rows that the events of a bar may continue. */
export function rowsOf(
  window: BarWindow,
  of: Int32Array,
  c: BarConstants,
): { readonly rows: readonly SteadyPeriod[]; readonly triples: readonly Triple[] } {
  const { events, from, to, ticksPerSecond, ticksPerQuarter } = window;
  const ticks = new Float64Array(to);
  for (let i = 0; i < to; i++) ticks[i] = events[i]!.ticks;
  const back = new Int32Array(to);
  const kinds = new Int32Array(to - from);
  const rows: SteadyPeriod[] = [];
  const triples: Triple[] = [];
  const known = new Map<number, number>();
  const tripleAt = (own: number, before: number, beforeThat: number): number => {
    const key = (own * events.length + before) * events.length + beforeThat;
    let at = known.get(key);
    if (at === undefined) known.set(key, at = triples.push([own, before, beforeThat]) - 1);
    return at;
  };
  for (const quarters of PERIOD_QUARTERS) {
    const period = quarters * ticksPerQuarter;
    const seconds = period / ticksPerSecond;
    if (seconds < c.fusionSeconds - ROUNDING || seconds > c.slowestPulseSeconds + ROUNDING) continue;
    findBefore(back, { ticks, period, slack: c.mergeSeconds / 2 * ticksPerSecond });
    for (let i = from; i < to; i++) {
      const j = back[i]!;
      const k = j < 0 ? -1 : back[j]!;
      kinds[i - from] = k < 0 ? -1 : tripleAt(of[i]!, of[j]!, of[k]!);
    }
    const chains = attackChains(window, kinds, c);
    if (chains.length === 0) continue;
    const comfort = pulsePeriodSalience(seconds, {
      centreSeconds: c.pulseCentreSeconds,
      spreadLog10: c.pulseSpreadLog10,
    });
    rows.push({ comfort, chains });
  }
  return { rows, triples };
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

/**
 * Events that may be held over a stronger position, by Longuet-Higgins and Lee: how far one is syncopated when each of the
 * events after it is the next that is felt, 0 to 1: the difference of the weights of the positions over what counts in
 * full. A note must last beyond the fusion limit to be held over anything.
 */
export function syncopationChains(
  { events, from, to, grid }: BarWindow,
  of: Int32Array,
  c: BarConstants,
): readonly Chain[] {
  const chains: OpenChain[] = [];
  let position = 0;
  for (let event = from; event < to; event++) {
    const { ticks, seconds } = events[event]!;
    while (position < grid.ticks.length && grid.ticks[position]! < ticks) position++;
    if (grid.ticks[position] !== ticks) continue;
    const own = grid.weights[position]!;
    const chain: OpenChain = { kind: of[event]!, neighbours: [], counts: [], beyond: 0 };
    let strongest = -Infinity;
    let p = position + 1;
    for (let next = event + 1; next <= events.length; next++) {
      const end = events[next];
      for (; p < grid.ticks.length && (end === undefined || grid.ticks[p]! < end.ticks); p++) {
        strongest = Math.max(strongest, grid.weights[p]!);
      }
      const strength = Math.min(1, Math.max(0, strongest - own) / c.fullSyncopation);
      const lasting = end === undefined ? 1 : (end.seconds - seconds - c.fusionSeconds) / c.fusionSeconds;
      chain.beyond = strength * Math.min(1, Math.max(0, lasting));
      // What comes after one that counts in full counts in full.
      if (end === undefined || strength >= 1 && lasting >= 1) break;
      if (!link(chain, of[next]!, chain.beyond)) break;
    }
    gather(chains, chain);
  }
  return chains;
}
