/** Momentum of one bar for any choice of its layers, prepared once so that thousands of choices are quick. */
import { durationalAccent, pulsePeriodSalience } from "./pulse_salience.ts";
import type { MomentumBar } from "./results.ts";

/** Attacks that fall together, with the strength each layer gives them. */
export interface BarEvent {
  /** Position in seconds. */
  readonly seconds: number;
  /** Position in ticks. */
  readonly ticks: number;
  /** Strength times audibility, per layer of the bar. */
  readonly weights: readonly number[];
}

/** One bar with everything its momentum depends on. */
export interface BarRhythm {
  /** Start in seconds. */
  readonly startSeconds: number;
  /** Length in seconds. */
  readonly seconds: number;
  /** Beats in it. */
  readonly beats: number;
  /** Weight of each grid position. */
  readonly metricWeights: readonly number[];
  /** Grid position of an event, or -1 where it falls between. */
  readonly gridOf: (ticks: number) => number;
  /** Events in order of time. */
  readonly events: readonly BarEvent[];
}

/** What the index is made of, and the index. */
export type BarComponents = Pick<
  MomentumBar,
  "momentum" | "attackRate" | "pulseSalience" | "regularity" | "syncopation"
>;

/** The constants of momentum that a bar is weighed with. */
export type BarConstants = Readonly<
  Record<
    | "fusionSeconds"
    | "mergeSeconds"
    | "faintShare"
    | "pulseCentreSeconds"
    | "pulseSpreadLog10"
    | "accentSaturationSeconds"
    | "accentExponent"
    | "rateWeight"
    | "regularityWeight"
    | "pulseWeight"
    | "syncopationWeight"
    | "fullSyncopation",
    number
  >
>;

/** Periods tried as a pulse, in beats. */
const PULSE_BEATS = [4, 3, 2, 1.5, 1, 0.5] as const;

const SILENT: BarComponents = { momentum: 0, attackRate: 0, pulseSalience: 0, regularity: 0, syncopation: 0 };

/**
 * Prepares a bar. Whatever does not depend on which layers play is worked out here: the comfort of every pulse
 * period, the events near each of its positions, grid positions; accents by length are kept once they are known.
 *
 * @param rhythm the bar
 * @param c the constants
 * @returns a function from a subset of layers (the sum of 2 ** i over its members i) to the components
 */
export function barMomentum(rhythm: BarRhythm, c: BarConstants): (subset: number) => BarComponents {
  const { events, startSeconds, seconds, beats, metricWeights } = rhythm;
  const count = events.length;
  const layers = events[0]?.weights.length ?? 0;
  const at = Float64Array.from(events, (e) => e.seconds);
  const weights = events.map((e) => Float64Array.from(e.weights));
  const grid = Int32Array.from(events, (e) => {
    const position = rhythm.gridOf(e.ticks);
    return position < metricWeights.length ? position : -1;
  });
  const end = startSeconds + seconds;
  const accents = new Float64Array(count * (count + 1)).fill(NaN);
  /** Accent of an event whose next is `next`, or the end of the bar where that is the count. */
  const accentOf = (i: number, next: number): number => {
    const key = i * (count + 1) + next;
    if (Number.isNaN(accents[key]!)) {
      accents[key] = durationalAccent(Math.max(0, (next === count ? end : at[next]!) - at[i]!), {
        saturationSeconds: c.accentSaturationSeconds,
        exponent: c.accentExponent,
      });
    }
    return accents[key]!;
  };
  const pulses = seconds > 0 ? pulsesOf(rhythm, at, c) : [];

  const strengths = new Float64Array(count);
  const clear = new Int32Array(count);
  const accentAt = new Float64Array(count);
  const members = new Uint8Array(layers);
  return (subset) => {
    if (seconds <= 0) return SILENT;
    for (let l = 0, rest = subset; l < layers; l++, rest = Math.floor(rest / 2)) members[l] = rest % 2;
    let strongest = 0;
    for (let i = 0; i < count; i++) {
      let miss = 1;
      const own = weights[i]!;
      for (let l = 0; l < layers; l++) if (members[l] === 1) miss *= 1 - own[l]!;
      const strength = 1 - miss;
      strengths[i] = strength;
      if (strength > strongest) strongest = strength;
    }
    if (strongest <= 0) return SILENT;
    const clearFrom = c.faintShare * strongest;
    let sum = 0;
    let before = -1;
    let clearCount = 0;
    for (let i = 0; i < count; i++) {
      const w = strengths[i]!;
      if (w <= 0) continue;
      const room = before < 0 ? 1 : Math.min(1, (at[i]! - at[before]!) / c.fusionSeconds);
      sum += w * (1 - (before < 0 ? 0 : strengths[before]! * (1 - room)));
      before = i;
      if (w >= clearFrom) clear[clearCount++] = i;
    }
    const attackRate = sum / seconds;
    const regularity = regularityOf(at, clear, clearCount);

    accentAt.fill(0);
    let strongestAccent = 0;
    for (let k = 0; k < clearCount; k++) {
      const i = clear[k]!;
      const next = k + 1 < clearCount ? clear[k + 1]! : count;
      const accent = strengths[i]! / strongest * accentOf(i, next);
      accentAt[i] = accent;
      if (accent > strongestAccent) strongestAccent = accent;
    }
    let pulseSalience = 0;
    if (strongestAccent > 0) {
      for (const { comfort, near } of pulses) {
        let covered = 0;
        for (const hits of near) {
          const hit = hits.find((i) => strengths[i]! > 0 && strengths[i]! >= clearFrom);
          if (hit !== undefined) covered += accentAt[hit]! / strongestAccent;
        }
        pulseSalience = Math.max(pulseSalience, covered / near.length * comfort);
      }
    }

    const syncopation = syncopationOf(clear, clearCount, grid, metricWeights);
    const synced = Math.min(1, syncopation / Math.max(1, beats) / c.fullSyncopation);
    const drive = c.rateWeight + c.regularityWeight * regularity + c.pulseWeight * pulseSalience +
      c.syncopationWeight * synced;
    return { momentum: attackRate * drive, attackRate, pulseSalience, regularity, syncopation };
  };
}

/** Every period that fits the bar, with its comfort and, per position, the events that would mark it. */
function pulsesOf(
  { startSeconds, seconds, beats }: BarRhythm,
  at: Float64Array,
  c: BarConstants,
): readonly { readonly comfort: number; readonly near: readonly (readonly number[])[] }[] {
  return PULSE_BEATS.flatMap((pulseBeats) => {
    const period = pulseBeats * (seconds / beats);
    const positions = Math.floor(beats / pulseBeats + 1e-9);
    if (positions < 1) return [];
    const comfort = pulsePeriodSalience(period, {
      centreSeconds: c.pulseCentreSeconds,
      spreadLog10: c.pulseSpreadLog10,
    });
    const near = Array.from({ length: positions }, (_, k) => {
      const wanted = startSeconds + k * period;
      const hits: number[] = [];
      for (let i = 0; i < at.length; i++) if (Math.abs(at[i]! - wanted) < c.mergeSeconds) hits.push(i);
      return hits;
    });
    return [{ comfort, near }];
  });
}

/** 1 for equal gaps, less the more they vary; 0 for fewer than two events. */
function regularityOf(at: Float64Array, clear: Int32Array, count: number): number {
  if (count < 2) return 0;
  const gaps = count - 1;
  const usual = (at[clear[gaps]!]! - at[clear[0]!]!) / gaps;
  if (usual <= 0) return 0;
  let squares = 0;
  for (let k = 0; k < gaps; k++) squares += (at[clear[k + 1]!]! - at[clear[k]!]! - usual) ** 2;
  return 1 / (1 + Math.sqrt(squares / gaps) / usual);
}

/** As `syncopation` has it, for events that are in order already. */
function syncopationOf(
  clear: Int32Array,
  count: number,
  grid: Int32Array,
  weights: readonly number[],
): number {
  const size = weights.length;
  let total = 0;
  let first = -1;
  let before = -1;
  const upTo = (next: number) => {
    let strongest = -Infinity;
    for (let p = before + 1; p < next; p++) strongest = Math.max(strongest, weights[p % size]!);
    if (strongest > weights[before]!) total += strongest - weights[before]!;
  };
  for (let k = 0; k < count; k++) {
    const position = grid[clear[k]!]!;
    if (position < 0 || position === before) continue;
    if (before < 0) first = position;
    else upTo(position);
    before = position;
  }
  if (before >= 0) upTo(first + size);
  return total;
}
