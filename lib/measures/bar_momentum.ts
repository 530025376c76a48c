/** Momentum of one bar for any choice of its members, prepared once so that thousands of choices are quick. */
import {
  type BarConstants,
  type BarWindow,
  fusingCount,
  kindsOf,
  type MemberStroke,
  offbeatsOf,
  rowsOf,
} from "./bar_rhythm.ts";
import type { Stroke } from "./driving_events.ts";
import type { MomentumBar } from "./results.ts";
import { EXACT_UP_TO } from "./shapley.ts";

/** What the index is made of, and the index. */
export type BarComponents = Pick<
  MomentumBar,
  "momentum" | "attackRate" | "pulseSalience" | "regularity" | "syncopatedShare"
>;

const SILENT: BarComponents = {
  momentum: 0,
  attackRate: 0,
  pulseSalience: 0,
  regularity: 0,
  syncopatedShare: 0,
};

/** Momentum of a bar for subsets of its members, given as the sum of 2 ** i over the members i in them. */
export interface BarMomentum {
  /** The index of one subset. */
  readonly valueOf: (subset: number) => number;
  /** The index of all subsets, in order. */
  readonly allValues: () => Float64Array;
  /** The index of one subset and what it is made of. */
  readonly componentsOf: (subset: number) => BarComponents;
}

/** Most subsets weighed side by side: few enough for the nearest memory of a processor. */
const MOST_ABREAST = 128;

/** Who shares a bar. */
export interface BarMembers {
  /** How many there are. */
  readonly count: number;
  /** Which member a stroke belongs to, from 0; -1 for one that is always there. */
  readonly of: (stroke: Stroke) => number;
  /** How many subsets will be asked for at a time; by default as many as are quick. */
  readonly abreast?: number;
}

/**
 * Prepares a bar. Whatever does not depend on who plays is worked out once; subsets are then weighed many abreast.
 *
 * A listener may attend to the strongest events only, or to all: at every level of attention from 0 to 1 the events of
 * that weight and more are felt, and every rate is the mean over the levels. Since more attacks never make fewer
 * pulses, fewer steady ones, or fewer driving ones on the whole, nothing falls when a stroke grows stronger; and since
 * halved weights are felt at half the levels, all rates go by the weights.
 *
 * @param window the bar among its neighbours
 * @param c the constants
 * @param members who shares the bar
 * @returns functions of subsets
 */
export function barMomentum(window: BarWindow, c: BarConstants, members: BarMembers): BarMomentum {
  const { from, to, seconds } = window;
  if (seconds <= 0 || from === to) {
    return {
      valueOf: () => 0,
      allValues: () => new Float64Array(2 ** members.count),
      componentsOf: () => SILENT,
    };
  }
  const usual = members.count > EXACT_UP_TO ? 1 : MOST_ABREAST;
  const abreast = Math.min(members.abreast ?? usual, MOST_ABREAST, 2 ** members.count);
  const { of, strokes } = kindsOf(window, members.of);
  const fusing = fusingCount(window, c);
  const rows = rowsOf(window, { of, none: strokes.length, isFusing: fusing !== undefined }, c);
  const offbeats = offbeatsOf(window, c);
  const count = to - from;
  const felt = new Float64Array(count);
  // Attacks, steady ones, pulses and syncopated ones that are felt, one figure per subset.
  const attacks = new Float64Array(abreast);
  const steady = new Float64Array(abreast);
  const pulse = new Float64Array(abreast);
  const syncopated = new Float64Array(abreast);
  const least = new Float64Array(fusing ? abreast * count : 0);
  const leastAsPulse = new Float64Array(fusing ? abreast * count : 0);
  const steadyHere = new Float64Array(abreast);
  const pulseHere = new Float64Array(abreast);
  const weightsOf = weigher(strokes, abreast);

  const weigh = (subsets: readonly number[]): void => {
    const n = subsets.length;
    const { weight, accented } = weightsOf(subsets);

    attacks.fill(0, 0, n);
    for (let i = 0; i < count; i++) {
      const at = of[from + i]! * abreast;
      for (let s = 0; s < n; s++) attacks[s]! += weight[at + s]!;
    }
    if (fusing) {
      for (let s = 0; s < n; s++) {
        for (let i = 0; i < count; i++) felt[i] = weight[of[from + i]! * abreast + s]!;
        attacks[s] = fusing(felt);
      }
    }

    steady.fill(0, 0, n);
    pulse.fill(0, 0, n);
    for (const { comfort, own, before, beforeThat, times } of rows) {
      steadyHere.fill(0, 0, n);
      pulseHere.fill(0, 0, n);
      for (let i = 0; i < own.length; i++) {
        const [here, back, further] = [own[i]! * abreast, before[i]! * abreast, beforeThat[i]! * abreast];
        const many = times[i]!;
        for (let s = 0; s < n; s++) {
          const w = weight[here + s]!;
          const wBack = weight[back + s]!;
          const wFurther = weight[further + s]!;
          const steadily = w < wBack ? (w < wFurther ? w : wFurther) : (wBack < wFurther ? wBack : wFurther);
          const accent = accented[here + s]!;
          const pulsing = steadily < accent ? steadily : accent;
          steadyHere[s]! += steadily * many;
          pulseHere[s]! += pulsing * many;
          if (fusing) {
            least[i * abreast + s] = steadily;
            leastAsPulse[i * abreast + s] = pulsing;
          }
        }
      }
      if (fusing) {
        for (let s = 0; s < n; s++) {
          // What fuses is never more than what just adds up: a row that is behind as a sum need not be fused.
          if (steadyHere[s]! > steady[s]!) {
            for (let i = 0; i < count; i++) felt[i] = least[i * abreast + s]!;
            steadyHere[s] = fusing(felt);
          }
          if (comfort * pulseHere[s]! > pulse[s]!) {
            for (let i = 0; i < count; i++) felt[i] = leastAsPulse[i * abreast + s]!;
            pulseHere[s] = fusing(felt);
          }
        }
      }
      for (let s = 0; s < n; s++) {
        if (steadyHere[s]! > steady[s]!) steady[s] = steadyHere[s]!;
        if (comfort * pulseHere[s]! > pulse[s]!) pulse[s] = comfort * pulseHere[s]!;
      }
    }

    syncopated.fill(0, 0, n);
    for (const { event, held, first } of offbeats) {
      const last = held.length - 1;
      for (let s = 0; s < n; s++) {
        const own = weight[of[event]! * abreast + s]!;
        let taken = 0;
        for (let k = event + 1; k < first; k++) {
          const between = weight[of[k]! * abreast + s]!;
          if (between > taken) taken = between;
        }
        for (let k = 0; k < last && taken < own; k++) {
          const w = weight[of[first + k]! * abreast + s]!;
          const next = w < own ? w : own;
          if (next <= taken) continue;
          syncopated[s]! += (next - taken) * held[k]!;
          taken = next;
        }
        if (taken < own) syncopated[s]! += (own - taken) * held[last]!;
      }
    }
  };
  const driving = (s: number) =>
    (c.rateWeight * attacks[s]! + c.regularityWeight * steady[s]! + c.pulseWeight * pulse[s]! +
      c.syncopationWeight * syncopated[s]!) / seconds;
  return {
    valueOf: (subset) => {
      weigh([subset]);
      return driving(0);
    },
    allValues: () => {
      const values = new Float64Array(2 ** members.count);
      for (let start = 0; start < values.length; start += abreast) {
        const subsets = Array.from({ length: Math.min(abreast, values.length - start) }, (_, s) => start + s);
        weigh(subsets);
        subsets.forEach((subset, s) => values[subset] = driving(s));
      }
      return values;
    },
    componentsOf: (subset) => {
      weigh([subset]);
      if (attacks[0]! <= 0) return SILENT;
      return {
        momentum: driving(0),
        attackRate: attacks[0]! / seconds,
        pulseSalience: pulse[0]! / attacks[0]!,
        regularity: steady[0]! / attacks[0]!,
        syncopatedShare: syncopated[0]! / attacks[0]!,
      };
    },
  };
}

/** Weights of the kinds of event, one figure per subset for each kind. */
interface Weights {
  readonly weight: Float64Array;
  readonly accented: Float64Array;
}

/**
 * Strokes of one layer at once are one stroke, the strongest; those of several layers are like independent chances of
 * feeling the event: w = 1 - product(1 - w_layer).
 */
function weigher(
  kinds: readonly (readonly MemberStroke[])[],
  abreast: number,
): (subsets: readonly number[]) => Weights {
  // One more for no event at all, which is never felt.
  const weight = new Float64Array((kinds.length + 1) * abreast);
  const accented = new Float64Array((kinds.length + 1) * abreast);
  const members = kinds.reduce((most, own) => own.reduce((m, s) => Math.max(m, s.member), most), 0);
  const isIn = new Uint8Array((members + 1) * abreast).fill(1);
  const strongest = new Float64Array(abreast);
  const loudest = new Float64Array(abreast);
  return (subsets) => {
    const n = subsets.length;
    for (let s = 0; s < n; s++) {
      for (let m = 1, rest = subsets[s]!; m <= members; m++, rest = Math.floor(rest / 2)) {
        isIn[m * abreast + s] = rest % 2;
      }
    }
    for (let kind = 0; kind < kinds.length; kind++) {
      const own = kinds[kind]!;
      const at = kind * abreast;
      // While a kind is worked out, the chance that it is missed stands in its place.
      weight.fill(1, at, at + n);
      accented.fill(1, at, at + n);
      for (let i = 0; i < own.length; i++) {
        const stroke = own[i]!;
        const here = stroke.member * abreast;
        const isFirst = own[i - 1]?.layer !== stroke.layer;
        const isLast = own[i + 1]?.layer !== stroke.layer;
        if (isFirst && isLast) {
          const missed = 1 - stroke.weight, missedAccent = 1 - stroke.accented;
          for (let s = 0; s < n; s++) {
            if (isIn[here + s] === 0) continue;
            weight[at + s]! *= missed;
            accented[at + s]! *= missedAccent;
          }
          continue;
        }
        if (isFirst) {
          strongest.fill(0, 0, n);
          loudest.fill(0, 0, n);
        }
        for (let s = 0; s < n; s++) {
          if (isIn[here + s] === 0) continue;
          if (stroke.weight > strongest[s]!) strongest[s] = stroke.weight;
          if (stroke.accented > loudest[s]!) loudest[s] = stroke.accented;
        }
        if (!isLast) continue;
        for (let s = 0; s < n; s++) {
          weight[at + s]! *= 1 - strongest[s]!;
          accented[at + s]! *= 1 - loudest[s]!;
        }
      }
      for (let s = 0; s < n; s++) {
        weight[at + s] = 1 - weight[at + s]!;
        accented[at + s] = 1 - accented[at + s]!;
      }
    }
    return { weight, accented };
  };
}
