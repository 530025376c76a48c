/**
 * The rates of a bar against their plain meaning, level by level: at each level of attention the events of that weight and
 * more are felt, and counted one after another; a rate is the mean over the levels. Slow, and without any of the ways in
 * which the library saves work.
 */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { momentum } from "ripieno";
import { pulsePeriodSalience } from "ripieno/measures";
import { barMomentum } from "../../../lib/measures/momentum/bar_momentum.ts";
import type { BarWindow } from "../../../lib/measures/momentum/bar_rhythm.ts";
import type { DrivingAttack, DrivingEvent } from "../../../lib/measures/momentum/driving_events.ts";
import { random } from "../../setup/random.ts";
import { type Line, repeatedNotes, smallScore } from "../small_scores.ts";

const C = {
  fusionSeconds: 0.1,
  mergeSeconds: 0.03,
  slowestPulseSeconds: 1.5,
  pulseCentreSeconds: 0.6,
  pulseSpreadLog10: 0.2,
  rateWeight: 0.5,
  regularityWeight: 0.3,
  pulseWeight: 0.15,
  syncopationWeight: 0.05,
  fullSyncopation: 2,
};
const TICKS_PER_QUARTER = 96;
const BAR = 4 * TICKS_PER_QUARTER;
/** Weights of the eighths of a bar of 4/4, by Longuet-Higgins and Lee. */
const WEIGHTS = [0, -3, -2, -3, -1, -3, -2, -3];
const QUARTERS = [1 / 6, 1 / 5, 1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4, 1, 3 / 2, 2, 3, 4, 6];

/** A made-up bar among its neighbours. */
interface Made {
  readonly window: BarWindow;
  readonly audibilities: Float64Array;
  /** Which member each stroke belongs to. */
  readonly memberOf: (stroke: DrivingAttack) => number;
  readonly members: number;
}

/** Parts 1 and 2 play one layer, all others one each; within a bar events of the same strokes share one list. */
function made(seed: number, parts: number, by: "layer" | "part"): Made {
  const next = random(seed);
  const below = (n: number) => Math.floor(next() * n);
  const layers = Array.from({ length: parts }, (_, p) => `layer ${p === 2 ? 1 : p}`);
  const names = by === "part" ? layers.map((_, p) => String(p)) : [...new Set(layers)];
  const strokesOf = (bar: number): readonly DrivingAttack[] => {
    const playing = layers.flatMap((_, p) => next() < 0.5 ? [p] : []);
    const notes = new Map(layers.map((layer) => [layer, 1 + below(3)]));
    return (playing.length > 0 ? playing : [below(parts)]).map((part): DrivingAttack => ({
      part,
      layer: layers[part]!,
      cell: bar * parts + part,
      strength: [1, 0.4, 0.8][below(3)]!,
      accent: 0.25 * (1 + below(4)),
      notes: below(3),
      layerNotes: notes.get(layers[part]!)!,
    }));
  };
  const ticksPerSecond = [96, 160, 200][below(3)]!;
  const eventsOf = (bar: number): DrivingEvent[] => {
    const lists = Array.from({ length: 1 + below(4) }, () => strokesOf(bar));
    const grid = [12, 16, 24, 32, 48, 96][below(6)]!;
    const places = new Set(
      Array.from({ length: BAR / grid }, (_, i) => i * grid + (next() < 0.2 ? below(3) : 0))
        .filter(() => next() < 0.7),
    );
    return [...places].map((at) => {
      const ticks = bar * BAR + at;
      return { ticks, seconds: ticks / ticksPerSecond, strokes: lists[below(lists.length)]! };
    });
  };
  const [before, own, after] = [eventsOf(0), eventsOf(1), eventsOf(2)];
  return {
    window: {
      events: [...before!, ...own!, ...after!],
      from: before!.length,
      to: before!.length + own!.length,
      seconds: BAR / ticksPerSecond,
      ticksPerSecond,
      ticksPerQuarter: TICKS_PER_QUARTER,
      grid: {
        ticks: [...WEIGHTS, ...WEIGHTS].map((_, i) => BAR + i * TICKS_PER_QUARTER / 2),
        weights: [...WEIGHTS, ...WEIGHTS],
      },
    },
    audibilities: Float64Array.from({ length: 3 * parts }, () => [0, 0.2, 0.5, 0.9][below(4)]!),
    memberOf: (stroke) => names.indexOf(by === "part" ? String(stroke.part) : stroke.layer),
    members: names.length,
  };
}

/** Mean over the levels of attention of what is counted of the events that are felt there. */
function overLevels(weights: readonly number[], count: (isFelt: readonly boolean[]) => number): number {
  let sum = 0, below = 0;
  for (const level of [...new Set(weights)].filter((w) => w > 0).toSorted((a, b) => a - b)) {
    sum += (level - below) * count(weights.map((w) => w >= level));
    below = level;
  }
  return sum;
}

/** Attacks, steady ones, pulses and syncopated ones of a bar where some members play. */
function plainly({ window, audibilities, memberOf }: Made, plays: (member: number) => boolean) {
  const { events, from, to, grid, ticksPerSecond } = window;
  const felt = ({ strokes }: DrivingEvent, isNext: boolean, isAccented: boolean): number => {
    const there = strokes.filter((s) => isNext || plays(memberOf(s)));
    const missed = [...Map.groupBy(there, (s) => s.layer).values()].map((own) => {
      const strongest = Math.max(
        ...own.map((s) => Math.min(1, s.strength * audibilities[s.cell]!) * (isAccented ? s.accent : 1)),
      );
      const notes = own.reduce((sum, s) => sum + s.notes, 0);
      return (1 - strongest) ** Math.min(notes, own[0]!.layerNotes);
    });
    return 1 - missed.reduce((a, b) => a * b, 1);
  };
  const weights = events.map((e, i) => felt(e, i >= to, false));
  const accented = events.map((e, i) => felt(e, i >= to, true));
  const own = events.map((_, i) => i >= from && i < to);
  const attacksIn = (isFelt: readonly boolean[]) => {
    let count = 0, last = -Infinity;
    events.forEach(({ seconds }, i) => {
      if (!own[i] || !isFelt[i]) return;
      count += Math.min(1, (seconds - last) / C.fusionSeconds);
      last = seconds;
    });
    return count;
  };
  const backOf = (i: number, period: number): number | undefined => {
    const away = (j: number) => Math.abs(events[i]!.ticks - period - events[j]!.ticks);
    const nearest = events.slice(0, i).map((_, j) => j).toSorted((a, b) => away(a) - away(b) || b - a)[0];
    const isNear = nearest !== undefined && away(nearest) <= C.mergeSeconds / 2 * ticksPerSecond;
    return isNear ? nearest : undefined;
  };
  const rows = QUARTERS.map((quarters) => quarters * TICKS_PER_QUARTER).filter((period) =>
    period / ticksPerSecond >= C.fusionSeconds - 1e-9 &&
    period / ticksPerSecond <= C.slowestPulseSeconds + 1e-9
  ).map((period) => {
    const least = events.map((_, i) => {
      const j = backOf(i, period);
      const k = j === undefined ? undefined : backOf(j, period);
      return !own[i] || k === undefined ? 0 : Math.min(weights[i]!, weights[j!]!, weights[k]!);
    });
    const comfort = pulsePeriodSalience(period / ticksPerSecond);
    return {
      steady: overLevels(least, attacksIn),
      pulse: comfort * overLevels(least.map((w, i) => Math.min(w, accented[i]!)), attacksIn),
    };
  });
  const syncopated = overLevels(weights, (isFelt) => {
    let sum = 0;
    events.forEach(({ ticks, seconds }, i) => {
      const at = grid.ticks.indexOf(ticks);
      if (!own[i] || !isFelt[i] || at < 0) return;
      const end = events.find((_, j) => j > i && isFelt[j]);
      const over = grid.weights.filter((_, p) => p > at && (end === undefined || grid.ticks[p]! < end.ticks));
      const levels = Math.max(0, ...over.map((w) => w - grid.weights[at]!));
      const beyond = end === undefined ? C.fusionSeconds : end.seconds - seconds - C.fusionSeconds;
      sum += Math.min(1, levels / C.fullSyncopation) * Math.min(1, Math.max(0, beyond / C.fusionSeconds));
    });
    return sum;
  });
  return {
    attacks: overLevels(weights.map((w, i) => own[i] ? w : 0), attacksIn),
    steady: Math.max(0, ...rows.map((r) => r.steady)),
    pulse: Math.max(0, ...rows.map((r) => r.pulse)),
    syncopated,
  };
}

/** Holds what is said of one subset against the plain count, and says how many syncopated attacks there were. */
function hold(bar: Made, subset: number): number {
  const { window: { seconds } } = bar;
  const said = barMomentum(bar.window, C, { count: bar.members, of: bar.memberOf })(bar.audibilities);
  const { attacks, steady, pulse, syncopated } = plainly(bar, (m) => Math.floor(subset / 2 ** m) % 2 === 1);
  const { momentum, attackRate, regularity, pulseSalience, syncopatedShare } = said.componentsOf(subset);
  assertAlmostEquals(attackRate * seconds, attacks, 1e-9, "attacks");
  assertAlmostEquals(regularity * attacks, steady, 1e-9, "steady");
  assertAlmostEquals(pulseSalience * attacks, pulse, 1e-9, "pulse");
  assertAlmostEquals(syncopatedShare * attacks, syncopated, 1e-9, "syncopated");
  const whole = 0.5 * attacks + 0.3 * steady + 0.15 * pulse + 0.05 * syncopated;
  assertAlmostEquals(momentum, whole / seconds, 1e-9);
  assertAlmostEquals(said.valueOf(subset), momentum, 1e-12);
  return syncopated;
}

Deno.test("a bar's rates are the means over all levels of attention, for every choice of layers or parts", () => {
  let syncopated = 0;
  for (let seed = 1; seed <= 60; seed++) {
    const bar = made(seed, 4, seed % 2 === 0 ? "layer" : "part");
    for (let subset = 0; subset < 2 ** bar.members; subset++) syncopated += hold(bar, subset);
    const { all, componentsOf } = barMomentum(bar.window, C, { count: bar.members, of: bar.memberOf })(
      bar.audibilities,
    );
    const { valueOf } = barMomentum(bar.window, C, { count: bar.members, of: bar.memberOf })(
      bar.audibilities,
    );
    const nobody = { momentum: 0, attackRate: 0, pulseSalience: 0, regularity: 0, syncopatedShare: 0 };
    assertEquals(componentsOf(0), nobody);
    assertEquals(all().whole, componentsOf(2 ** bar.members - 1));
    for (const silent of [{ ...bar.window, seconds: 0 }, { ...bar.window, to: bar.window.from }]) {
      const none = barMomentum(silent, C, { count: bar.members, of: bar.memberOf })(bar.audibilities);
      assertEquals([none.componentsOf(1), none.valueOf(1), none.all().whole], [nobody, 0, nobody]);
      assertEquals(none.all().values, new Float64Array(2 ** bar.members));
    }
    all().values.forEach((value, subset) => assertAlmostEquals(value, valueOf(subset), 1e-12));
  }
  assert(syncopated > 10, `${syncopated} syncopated attacks`);
});

Deno.test("the same of more parts than are shared out between exactly", () => {
  for (let seed = 1; seed <= 10; seed++) {
    const bar = made(seed, 14, "part");
    for (const subset of [2 ** 14 - 1, 2 ** 13, 0b10110011100110, 0b00000000000110]) hold(bar, subset);
  }
});

Deno.test("of parts that play one layer at several dynamics the strongest is felt, whichever stands first", () => {
  const part = (dynamic: number): Line => ({
    instrument: "oboe",
    role: "pulse",
    layer: "pulse",
    notes: repeatedNotes(72, 0.5, { dynamic }),
  });
  const of = (...dynamics: readonly number[]) => momentum(smallScore(dynamics.map(part))).whole.momentum;
  assertAlmostEquals(of(3, 7), of(7, 3), 1e-12);
  assert(of(3, 7) > 1.5 * of(3, 3));
});
