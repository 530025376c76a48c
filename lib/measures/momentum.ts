/** How strongly the texture drives forward, and which layer does it. */
import { soundingNotes } from "../score/build.ts";
import type { Bar, Note, Score } from "../score/model.ts";
import { barIndexOf, clockOf } from "../score/time.ts";
import { applySettings, refuseUnknown, type Settings } from "../settings.ts";
import type { Texture } from "../texture/model.ts";
import { textureOf } from "../texture/recognise.ts";
import { type Role, ROLE_NAMES } from "../texture/roles.ts";
import { type Attack, attacksOf } from "./attacks.ts";
import { balance } from "./balance.ts";
import { type BarEvent, barMomentum, type BarRhythm } from "./bar_momentum.ts";
import type { Balance, Momentum, MomentumBar, MomentumLayer } from "./results.ts";
import { shapleyValues } from "./shapley.ts";
import { metricalWeights } from "./syncopation.ts";

const LONDON = "London, Hearing in Time, 2nd ed. (2012), ch. 2: shortest metrical period";
const PARNCUTT = "Parncutt, Music Perception 11 (1994) 409-464, equations 3 and 6";

/** Constants of {@linkcode momentum}, with their units and sources. */
export const MOMENTUM_CONSTANTS = {
  slurredStrength: {
    value: 0.4,
    unit: "1",
    source: "model assumption",
    meaning: "strength of a note reached under a slur, against 1 for a tongued, bowed or struck one",
  },
  broadStrength: {
    value: 0.8,
    unit: "1",
    source: "model assumption",
    meaning: "strength of a broad, joined stroke",
  },
  tremoloStrength: {
    value: 0.05,
    unit: "1",
    source: "model assumption: the players of a section do not stroke together, so single strokes blur",
    meaning: "strength of one stroke of an unmeasured tremolo",
  },
  tremoloFromPerSecond: {
    value: 11,
    unit: "strokes per second",
    source: "model assumption, near the 100 ms limit",
    meaning: "rate from which slashes are heard as a shimmer",
  },
  halfAudibleSones: {
    value: 0.25,
    unit: "sones",
    source: "model assumption",
    meaning: "loudness left among everything else at which a layer counts half",
  },
  faintShare: {
    value: 0.1,
    unit: "share of the strongest event of the bar",
    source: "model assumption",
    meaning: "weight below which an event does not shape regularity, pulse and syncopation",
  },
  mergeSeconds: {
    value: 0.03,
    unit: "seconds",
    source: "typical spread between ensemble players, from memory",
    meaning: "attacks closer than this are one",
  },
  fusionSeconds: { value: 0.1, unit: "seconds", source: LONDON, meaning: "attacks closer than this fuse" },
  pulseCentreSeconds: { value: 0.6, unit: "seconds", source: PARNCUTT, meaning: "most comfortable pulse" },
  pulseSpreadLog10: { value: 0.2, unit: "log10", source: PARNCUTT, meaning: "spread around it" },
  accentSaturationSeconds: {
    value: 0.5,
    unit: "seconds",
    source: PARNCUTT,
    meaning: "saturation of the accent by length",
  },
  accentExponent: { value: 2, unit: "1", source: PARNCUTT, meaning: "exponent of the accent by length" },
  rateWeight: {
    value: 0.6,
    unit: "1",
    source: "model assumption",
    meaning: "part of the rate that always counts",
  },
  regularityWeight: {
    value: 0.2,
    unit: "1",
    source: "model assumption",
    meaning: "part that counts when regular",
  },
  pulseWeight: {
    value: 0.1,
    unit: "1",
    source: "model assumption",
    meaning: "part that counts when felt as a pulse",
  },
  syncopationWeight: {
    value: 0.1,
    unit: "1",
    source: "model assumption",
    meaning: "part that counts when syncopated",
  },
  fullSyncopation: {
    value: 2,
    unit: "strength per beat",
    source: "model assumption",
    meaning: "syncopation that counts in full",
  },
} as const;

/** Options of {@linkcode momentum}. */
export interface MomentumOptions {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Balance already worked out for this score and texture. */
  readonly balance?: Balance;
  /** Constants that differ from {@linkcode MOMENTUM_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof MOMENTUM_CONSTANTS>>;
}

/**
 * Momentum of a score, in driving attacks per second.
 *
 * In each bar, attacks of all parts closer than 30 ms are one event. A layer gives an event the strength of its
 * way of playing (1 tongued, bowed or struck; less under a slur; nothing for a note held on) times its
 * audibility `P / (P + 1 sone)`, P being its loudness in the presence of the rest (partial loudness, from the
 * balance): a layer that is covered adds nothing, one that is plainly heard counts nearly in full. Several layers in
 * one event count like independent chances of hearing it: `w = 1 - product(1 - w_layer)`. An event closer than 100 ms to the one before counts less, so that the rate
 * levels off where single attacks fuse: `w_i * (1 - w_before * (1 - gap / 0.1 s))`. Then
 *
 *     attackRate = sum of event weights / seconds
 *     momentum   = attackRate * (0.6 + 0.2 regularity + 0.1 pulseSalience + 0.1 min(1, syncopation per beat / 2))
 *
 * regularity = 1 / (1 + coefficient of variation of the gaps); pulseSalience = best metrical period P by
 * coverage of its positions with accented events times exp(-0.5 (log10(P / 0.6 s) / 0.2)^2) (Parncutt 1994);
 * syncopation by Longuet-Higgins and Lee 1984; all three from the events with at least a tenth of the weight of the
 * bar's strongest, so the index can step by a few per cent where an irregular layer becomes that faint. Pitch travel is reported but not part of the index, since a change
 * of harmony under the same rhythms must not change it.
 *
 * Contributions are Shapley values over the layers of the bar: they sum to the bar's momentum.
 *
 * @param score the score
 * @param options texture, balance, constants
 * @returns whole, per bar, per layer, per role
 * @throws {InputError} when a constant is unknown or not a number
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, momentum, realise } from "ripieno";
 * import { assert } from "@std/assert";
 * const of = (plan: ReturnType<typeof demoPlans>["held"]) => momentum(realise(demoSketch(), plan)).whole.momentum;
 * assert(of(demoPlans().held) < of(demoPlans().moving));
 * ```
 */
export function momentum(score: Score, options: MomentumOptions = {}): Momentum {
  refuseUnknown("compute momentum", options, ["texture", "balance", "constants"]);
  const settings = applySettings("momentum", MOMENTUM_CONSTANTS, options.constants);
  const texture = options.texture ?? textureOf(score);
  const heard = options.balance ?? balance(score, { texture });
  const clock = clockOf(score);
  const parts = score.parts.length;
  const attacks = Map.groupBy(attacksOf(score, settings), (a) => a.bar);
  const audibility = new Map(
    heard.perLayer.map((l) =>
      [`${l.bar} ${l.layer}`, l.partialSones / (l.partialSones + settings.halfAudibleSones)] as const
    ),
  );
  const travel = pitchTravel(score);

  const perBar: MomentumBar[] = [];
  const perLayer: MomentumLayer[] = [];
  score.bars.forEach((bar, b) => {
    const inBar = attacks.get(b) ?? [];
    const layers: { id: string; role: Role; audibility: number }[] = [];
    const layerOf = new Map<number, number>();
    for (const a of inBar) {
      if (layerOf.has(a.part)) continue;
      const cell = texture.cells[b * parts + a.part]!;
      let i = layers.findIndex((l) => l.id === cell.layer);
      if (i < 0) {
        i = layers.length;
        layers.push({
          id: cell.layer,
          role: cell.role,
          audibility: audibility.get(`${b} ${cell.layer}`) ?? 0,
        });
      }
      layerOf.set(a.part, i);
    }
    const startSeconds = clock(bar.startTicks);
    const sixteenth = score.ticksPerQuarter / 4;
    const rhythm: BarRhythm = {
      startSeconds,
      seconds: clock(bar.startTicks + bar.durationTicks) - startSeconds,
      beats: bar.durationTicks / (score.ticksPerQuarter * 4 / bar.beatUnit),
      metricWeights: weightsOf(bar, b === 0, bar.durationTicks / sixteenth),
      gridOf: (ticks) => {
        const at = (ticks - bar.startTicks) / sixteenth;
        return Number.isInteger(at) ? at : -1;
      },
      events: eventsOf(inBar, layerOf, layers.map((l) => l.audibility), settings.mergeSeconds),
    };
    const onsets = eventsOf(inBar, layerOf, layers.map(() => 1), settings.mergeSeconds).length;
    const everybody = 2 ** layers.length - 1;
    const componentsOf = barMomentum(rhythm, settings);
    const valueOf = (subset: number) => componentsOf(subset).momentum;
    const whole = componentsOf(everybody);
    perBar.push({
      bar: b,
      barNumber: bar.number,
      onsetSeconds: startSeconds,
      ...whole,
      onsetsPerSecond: rhythm.seconds > 0 ? onsets / rhythm.seconds : 0,
      pitchTravel: rhythm.seconds > 0 ? travel[b]! / rhythm.seconds : 0,
    });
    const contributions = shapleyValues(layers.length, valueOf);
    layers.forEach((layer, i) => {
      const own = new Set(inBar.filter((a) => layerOf.get(a.part) === i).map((a) => a.ticks)).size;
      perLayer.push({
        bar: b,
        layer: layer.id,
        role: layer.role,
        audibility: layer.audibility,
        onsetsPerSecond: rhythm.seconds > 0 ? own / rhythm.seconds : 0,
        contribution: contributions[i]!,
        alone: valueOf(2 ** i),
        takenAway: whole.momentum - valueOf(everybody - 2 ** i),
      });
    });
  });
  return {
    whole: wholeOf(perBar, score, clock),
    perBar,
    perLayer,
    perRole: roleContributions(perBar, perLayer, score, clock),
    settings,
  };
}

/** Metrical weights in sixteenths; of a short first bar the last ones, since a pickup leads into the bar line. */
function weightsOf(bar: Bar, first: boolean, sixteenths: number): readonly number[] {
  const weights = metricalWeights(bar.beats, bar.beatUnit, 16);
  const count = Math.min(weights.length, Math.round(sixteenths));
  return first ? weights.slice(weights.length - count) : weights.slice(0, count);
}

/** Audible attacks closer than a moment merged into events, with each layer's weight. */
function eventsOf(
  attacks: readonly Attack[],
  layerOf: ReadonlyMap<number, number>,
  audibilities: readonly number[],
  mergeSeconds: number,
): readonly BarEvent[] {
  const events: { seconds: number; ticks: number; weights: number[] }[] = [];
  for (const a of attacks) {
    const i = layerOf.get(a.part)!;
    if (audibilities[i]! <= 0) continue;
    let event = events.at(-1);
    if (!event || a.seconds - event.seconds >= mergeSeconds) {
      event = { seconds: a.seconds, ticks: a.ticks, weights: audibilities.map(() => 0) };
      events.push(event);
    }
    event.weights[i] = Math.max(event.weights[i]!, a.strength * audibilities[i]!);
  }
  return events;
}

/**
 * Semitones travelled in each bar from one note to the next, mean over the pitched parts that begin notes in it;
 * of chords the top note counts.
 */
function pitchTravel(score: Score): readonly number[] {
  const tops = new Map<number, Note>();
  for (const note of soundingNotes(score)) {
    // Notes of one onset and part come from the lowest to the highest.
    if (!note.unpitched) tops.set(note.onsetTicks * score.parts.length + note.part, note);
  }
  const sums = score.bars.map(() => 0);
  const moving = score.bars.map(() => new Set<number>());
  const last = new Map<number, number>();
  for (const { part, onsetTicks, soundingPitch } of tops.values()) {
    const b = barIndexOf(score, onsetTicks);
    moving[b]!.add(part);
    sums[b]! += Math.abs(soundingPitch - (last.get(part) ?? soundingPitch));
    last.set(part, soundingPitch);
  }
  return sums.map((sum, b) => moving[b]!.size === 0 ? 0 : sum / moving[b]!.size);
}

function barSeconds(score: Score, clock: (ticks: number) => number): readonly number[] {
  return score.bars.map((b) => clock(b.startTicks + b.durationTicks) - clock(b.startTicks));
}

function wholeOf(
  perBar: readonly MomentumBar[],
  score: Score,
  clock: (ticks: number) => number,
): Momentum["whole"] {
  const seconds = barSeconds(score, clock);
  const total = seconds.reduce((a, b) => a + b, 0);
  const mean = (pick: (b: MomentumBar) => number) =>
    total > 0 ? perBar.reduce((sum, b, i) => sum + pick(b) * seconds[i]!, 0) / total : 0;
  return {
    momentum: mean((b) => b.momentum),
    attackRate: mean((b) => b.attackRate),
    onsetsPerSecond: mean((b) => b.onsetsPerSecond),
    pitchTravel: mean((b) => b.pitchTravel),
    pulseSalience: mean((b) => b.pulseSalience),
    regularity: mean((b) => b.regularity),
    syncopation: mean((b) => b.syncopation),
  };
}

function roleContributions(
  perBar: readonly MomentumBar[],
  perLayer: readonly MomentumLayer[],
  score: Score,
  clock: (ticks: number) => number,
): Momentum["perRole"] {
  const seconds = barSeconds(score, clock);
  const total = seconds.reduce((a, b) => a + b, 0);
  const sums = new Map<Role, number>();
  for (const l of perLayer) sums.set(l.role, (sums.get(l.role) ?? 0) + l.contribution * seconds[l.bar]!);
  return perBar.length === 0 || total === 0
    ? []
    : ROLE_NAMES.filter((r) => sums.has(r)).map((role) => ({ role, contribution: sums.get(role)! / total }));
}
