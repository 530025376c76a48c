/** How strongly the texture drives forward, and which layer does it. */
import { A_SWITCH, A_TEXTURE, checkOptions } from "../../base/arguments.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { TREMOLO_CONSTANTS } from "../../score/tremolo.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import type { Texture } from "../../texture/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { givenBalance } from "../balance/given_balance.ts";
import { barShares } from "./bar_shares.ts";
import { audibilitiesOf } from "./driving_events.ts";
import type { Balance } from "../balance/balance_results.ts";
import type { Momentum, MomentumBar, MomentumLayer } from "./momentum_results.ts";
import { forcesOf } from "./forces_of.ts";
import { rhythmMemory, rhythmOf } from "./score_rhythm.ts";

const LONDON = "London, Hearing in Time, 2nd ed. (2012), ch. 2: shortest metrical period";
const PARNCUTT = "Parncutt, Music Perception 11 (1994) 409-464, equations 3 and 6";

/** Constants of {@linkcode momentum}, with their units and sources. */
export const MOMENTUM_CONSTANTS = {
  slurredStrength: {
    value: 0.4,
    unit: "strength of an attack",
    most: 1,
    source: "model assumption",
    meaning: "strength of a note reached under a slur, against 1 for a tongued, bowed or struck one",
  },
  broadStrength: {
    value: 0.8,
    unit: "strength of an attack",
    most: 1,
    source: "model assumption",
    meaning: "strength of a broad, joined stroke",
  },
  tremoloStrength: {
    value: 0.05,
    unit: "strength of an attack",
    most: 1,
    source: "model assumption: the players of a section do not stroke together, so single strokes blur",
    meaning: "strength of one stroke of an unmeasured tremolo",
  },
  ...TREMOLO_CONSTANTS,
  halfAudibleSones: {
    value: 0.25,
    unit: "sones",
    above: 0,
    source: "model assumption",
    meaning: "loudness left among everything else at which a layer counts half",
  },
  halfForceDynamic: {
    value: 5,
    unit: "steps of the dynamic scale",
    above: 0,
    source:
      "model assumption: mf; that loudness leads in perceived energy: Schubert, Music Perception 21 (2004) " +
      "561-585; Dean, Bailes & Schubert, PLoS ONE 6(4) e18591 (2011)",
    meaning: "dynamic at which a single note has half of its force; others in proportion",
  },
  mergeSeconds: {
    value: 0.03,
    unit: "seconds",
    source: "typical spread between ensemble players, from memory",
    meaning: "attacks closer than this are one",
  },
  fusionSeconds: {
    value: 0.1,
    unit: "seconds",
    above: 0,
    source: LONDON,
    meaning: "attacks closer than this fuse",
  },
  slowestPulseSeconds: {
    value: 1.5,
    unit: "seconds",
    source: "London, Hearing in Time, 2nd ed. (2012), ch. 2: slowest beat",
    meaning: "longest period at which a row of attacks is felt as steady",
  },
  pulseCentreSeconds: {
    value: 0.6,
    unit: "seconds",
    above: 0,
    source: PARNCUTT,
    meaning: "most comfortable pulse",
  },
  pulseSpreadLog10: {
    value: 0.2,
    unit: "powers of ten",
    above: 0,
    source: PARNCUTT,
    meaning: "spread around it",
  },
  accentSaturationSeconds: {
    value: 0.5,
    unit: "seconds",
    above: 0,
    source: PARNCUTT,
    meaning: "saturation of the accent by length",
  },
  accentExponent: {
    value: 2,
    unit: "exponent",
    most: 10,
    source: PARNCUTT,
    meaning: "exponent of the accent by length",
  },
  rateWeight: {
    value: 0.6,
    unit: "weight",
    source: "model assumption",
    meaning: "what every attack counts",
  },
  regularityWeight: {
    value: 0.2,
    unit: "weight",
    source: "model assumption",
    meaning: "what an attack counts besides where it continues a steady row",
  },
  pulseWeight: {
    value: 0.1,
    unit: "weight",
    source: "model assumption",
    meaning: "what an attack counts besides where it carries a comfortable pulse",
  },
  syncopationWeight: {
    value: 0.1,
    unit: "weight",
    source: "model assumption",
    meaning: "what an attack counts besides where it is held over a stronger position",
  },
  fullSyncopation: {
    value: 2,
    unit: "levels of the metre",
    above: 0,
    source: "model assumption",
    meaning: "how much stronger than its own the position is over which a note is held to count in full",
  },
} as const;

/** Options of {@linkcode momentum}. */
export interface MomentumOptions {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Balance already worked out for this score and texture. */
  readonly balance?: Balance;
  /** False leaves out what each layer and role adds, which is most of the work; for sweeps. @default {true} */
  readonly layers?: boolean;
  /** Constants that differ from {@linkcode MOMENTUM_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof MOMENTUM_CONSTANTS>>;
}

const OPTIONS = { texture: A_TEXTURE, balance: undefined, layers: A_SWITCH, constants: undefined };

/**
 * Momentum of a score, in driving attacks per second.
 *
 * What is meant is how energetic the texture sounds: perceived energy, as far as it comes from what begins. It is not the
 * urge to move, on which mean loudness has no bearing and which peaks at middling syncopation and at 100 to 120 beats a
 * minute; nor what a listener feels.
 *
 * *Strokes.* In each bar, attacks of all parts closer than 30 ms are one event. A layer gives each note that it begins in
 * an event the strength of its way of playing (1 tongued, bowed or struck; less under a slur; nothing for a note held on;
 * next to nothing for each stroke of an unmeasured tremolo after its first, which is a shimmer: a held note that is
 * alive), times its force (half for mf, in proportion to the dynamic: p 0.3, ff 0.7), times its audibility
 * `P / (P + 0.25 sone)`, P being its loudness in the presence of the rest (partial loudness, from the balance). The
 * notes and the layers of an event count like independent chances of feeling it: `w = 1 - product(1 - w_layer) ^ notes`;
 * a unison is one note, a chord several.
 *
 * *Attention.* A listener may attend to the strongest events only, or to all of them. At every level of attention from
 * 0 to 1 the events with at least that weight are felt; each rate is the mean over all levels.
 *
 * *Four rates*, per second, of the events that are felt:
 *
 *     attacks     all; one closer than 100 ms to the last one felt in the bar counts gap / 100 ms
 *     steady      those that continue a row: others were felt one period and two periods before; the period from
 *                 a sixth of a quarter note to six, of 0.1 to 1.5 s, that gives most
 *     pulse       steady ones, as far as their weight times their accent by length goes (Parncutt 1994, equation 3,
 *                 over its value at 0.6 s), times the comfort of the period (equation 6); again what gives most
 *     syncopated  those held over a stronger position, by the difference of the weights (Longuet-Higgins and Lee
 *                 1984), in full from two levels on; as long as the note lasts beyond 200 ms, less down to 100 ms
 *
 *     momentum = 0.6 attacks + 0.2 steady + 0.1 pulse + 0.1 syncopated
 *              = attackRate * (0.6 + 0.2 regularity + 0.1 pulseSalience + 0.1 syncopatedShare)
 *
 * where regularity, pulseSalience and syncopatedShare are the last three over the first. Rows run on from the bars
 * before, and a note may be held into the next bar. No rate but the last falls when a stroke grows stronger, and what
 * the last loses the first gains sixfold, so momentum never rises when anything is heard less, slurred or left out;
 * and where audibility changes by some factor, momentum changes by no more than that. Heard less is not marked softer:
 * a layer marked softer may uncover others, and the whole may then drive more. Pitch travel is reported but
 * not part of the index, since a change of harmony under the same rhythms must not change it; `syncopation` is the
 * published sum of strengths as written, every attack counted.
 *
 * Contributions are Shapley values over the layers of the bar: they sum to the bar's momentum. Up to 12 layers they
 * are exact, beyond they are sampled and their standard error is given.
 *
 * @param score the score
 * @param options texture, balance, whether layers are told apart, constants
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
  checkOptions("compute momentum", options, OPTIONS);
  const settings = applySettings("momentum", MOMENTUM_CONSTANTS, options.constants);
  const texture = givenTexture("compute momentum", score, options.texture);
  const heard = givenBalance("compute momentum", score, { texture, balance: options.balance });
  return measured(score, {
    texture,
    heard,
    sharesOut: options.layers !== false,
    settings,
    rhythmFor: rhythmOf,
  });
}

/**
 * As {@linkcode momentum} with the usual constants, for callers with many scores: those that differ only in how loud they
 * are share their rhythm. Without layers, what each of them adds is left out.
 */
export function momentumMeasurer(
  { layers = true }: { readonly layers?: boolean } = {},
): (score: Score, texture: Texture, heard: Balance) => Momentum {
  const settings = applySettings("momentum", MOMENTUM_CONSTANTS);
  const rhythmFor = rhythmMemory();
  return (score, texture, heard) =>
    measured(score, { texture, heard, sharesOut: layers, settings, rhythmFor });
}

function measured(score: Score, { texture, heard, sharesOut, settings, rhythmFor }: {
  readonly texture: Texture;
  readonly heard: Balance;
  /** Whether momentum is shared out between layers. */
  readonly sharesOut: boolean;
  readonly settings: Settings<typeof MOMENTUM_CONSTANTS>;
  readonly rhythmFor: typeof rhythmOf;
}): Momentum {
  const { halfAudibleSones, halfForceDynamic } = settings;
  const audibilities = audibilitiesOf(score, texture, { heard, halfAudibleSones });
  const forces = forcesOf(score, halfForceDynamic);
  const heardForces = audibilities.map((audibility, cell) => audibility * forces[cell]!);
  const bars = rhythmFor(score, { texture, audibilities, constants: settings });
  const clock = clockOf(score);
  const perBar: MomentumBar[] = [];
  const perLayer: MomentumLayer[] = [];
  bars.forEach(({ window, layers, onsets, momentumOf, pitchTravel, syncopation }, b) => {
    const bar = score.bars[b]!;
    const perSecond = (count: number) => window.seconds > 0 ? count / window.seconds : 0;
    const momentum = momentumOf(heardForces);
    const { whole, shares } = sharesOut
      ? barShares(momentum, layers.length)
      : { whole: momentum.componentsOf(2 ** layers.length - 1), shares: [] };
    perBar.push({
      barIndex: b,
      bar: bar.number,
      onsetSeconds: clock(bar.startTicks),
      ...whole,
      onsetsPerSecond: perSecond(onsets),
      pitchTravel: perSecond(pitchTravel),
      syncopation,
    });
    shares.forEach((share, i) => {
      const { id, role, cell, onsets } = layers[i]!;
      perLayer.push({
        barIndex: b,
        layer: id,
        role,
        audibility: audibilities[cell]!,
        onsetsPerSecond: perSecond(onsets),
        ...share,
      });
    });
  });
  const seconds = bars.map(({ window }) => window.seconds);
  return {
    whole: wholeOf(perBar, seconds),
    perBar,
    perLayer,
    perRole: roleContributions(perLayer, seconds),
    settings,
  };
}

function wholeOf(perBar: readonly MomentumBar[], seconds: readonly number[]): Momentum["whole"] {
  const total = seconds.reduce((a, b) => a + b, 0);
  const mean = (pick: (b: MomentumBar) => number) =>
    total > 0 ? perBar.reduce((sum, b, i) => sum + pick(b) * seconds[i]!, 0) / total : 0;
  const attackRate = mean((b) => b.attackRate);
  /** Shares of attacks are weighed by attacks, so that the formula holds for the whole as for a bar. */
  const share = (pick: (b: MomentumBar) => number) =>
    attackRate > 0 ? mean((b) => pick(b) * b.attackRate) / attackRate : 0;
  return {
    momentum: mean((b) => b.momentum),
    attackRate,
    onsetsPerSecond: mean((b) => b.onsetsPerSecond),
    pitchTravel: mean((b) => b.pitchTravel),
    pulseSalience: share((b) => b.pulseSalience),
    regularity: share((b) => b.regularity),
    syncopatedShare: share((b) => b.syncopatedShare),
    syncopation: mean((b) => b.syncopation),
  };
}

function roleContributions(
  perLayer: readonly MomentumLayer[],
  seconds: readonly number[],
): Momentum["perRole"] {
  const total = seconds.reduce((a, b) => a + b, 0);
  const sums = new Map<Role, number>();
  for (const l of perLayer) sums.set(l.role, (sums.get(l.role) ?? 0) + l.contribution * seconds[l.barIndex]!);
  return total === 0
    ? []
    : ROLE_NAMES.filter((r) => sums.has(r)).map((role) => ({ role, contribution: sums.get(role)! / total }));
}
