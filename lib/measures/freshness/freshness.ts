/** How recently the orchestration changed, where it changes, and what goes stale. */
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { InputError } from "../../base/errors.ts";
import { A_TEXTURE, checkOptions } from "../../base/arguments.ts";
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { mean as preciseMean } from "simple-statistics";
import { greatestOf } from "../../base/extremes.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { toldApart } from "../../score/told_apart.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { selfSimilarity } from "./bar_likeness.ts";
import { leadsInBars } from "../leads_in_bars.ts";
import { freshnessAdvice } from "./freshness_advice.ts";
import { leadNames, whatChanged } from "./freshness_words.ts";
import { noveltyOf } from "./novelty.ts";
import type { Freshness, FreshnessBar, FreshnessChange } from "./freshness_results.ts";

/** Constants of {@linkcode freshness}, with their units and sources. */
export const FRESHNESS_CONSTANTS = {
  halfLifeBars: {
    value: 4,
    unit: "bars",
    above: 0,
    source: "model assumption",
    meaning: "bars after which the freshness of a change has halved",
  },
  sameRole: {
    value: 0.6,
    unit: "share",
    source: "model assumption",
    meaning: "likeness of a part that keeps its role with another figure",
  },
  sameSound: {
    value: 0.3,
    unit: "share",
    source: "model assumption",
    meaning: "likeness of a part that plays on in another role",
  },
  leadShare: {
    value: 0.3,
    unit: "share",
    source: "model assumption: the ear follows the lead",
    meaning: "part of the likeness of two scorings that belongs to who leads",
  },
  compareBars: {
    value: 2,
    unit: "bars",
    least: 1,
    source: "model assumption",
    meaning: "bars compared before and after each bar line",
  },
  changeFrom: {
    value: 0.25,
    unit: "share",
    source: "model assumption",
    meaning: "change from which a bar line counts as a change point",
  },
  memoryBars: {
    value: 24,
    unit: "bars",
    source: "model assumption",
    meaning: "how far back a scoring is remembered",
  },
  repeatDiscount: {
    value: 0.5,
    unit: "share",
    source: "model assumption",
    meaning: "what a change loses when its scoring was heard before",
  },
  expectedAfterBars: {
    value: 8,
    unit: "bars",
    least: 1,
    source: "common practice, no source: hand over every four to eight bars",
    meaning: "bars without a change after which listeners would expect one",
  },
  sameScoringFrom: {
    value: 0.95,
    unit: "share",
    source: "model assumption",
    meaning: "likeness from which a scoring counts as one heard before",
  },
  noveltyHalfWidthBars: {
    value: 2,
    unit: "bars",
    least: 1,
    source: "model assumption",
    meaning: "widest half-width of the novelty kernel; the curve is the mean over all from one bar on",
  },
  scoringWeight: {
    value: 1,
    unit: "weight",
    source: "equal weights, model assumption",
    meaning: "part of the similarity of two bars that is who does what",
  },
  soundingWeight: {
    value: 1,
    unit: "weight",
    source: "equal weights, model assumption",
    meaning: "part that is who sounds for how much of the bar",
  },
  attacksWeight: {
    value: 1,
    unit: "weight",
    source: "equal weights, model assumption",
    meaning: "part that is who strikes how often",
  },
  registerWeight: {
    value: 1,
    unit: "weight",
    source: "equal weights, model assumption",
    meaning: "part that is how high each plays",
  },
  dynamicsWeight: {
    value: 1,
    unit: "weight",
    source: "equal weights, model assumption",
    meaning: "part that is how loud each plays",
  },
  otherRegisterSemitones: {
    value: 12,
    unit: "semitones",
    above: 0,
    source: "model assumption",
    meaning: "distance at which a part plays in another register altogether",
  },
  otherDynamicSteps: {
    value: 4,
    unit: "steps of the dynamic scale",
    above: 0,
    source: "model assumption: from p to ff",
    meaning: "distance at which a part plays at another dynamic altogether",
  },
} as const;

/** Options of {@linkcode freshness}. */
export interface FreshnessOptions {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Constants that differ from {@linkcode FRESHNESS_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof FRESHNESS_CONSTANTS>>;
}

type FreshnessSettings = Settings<typeof FRESHNESS_CONSTANTS>;

/** Weights of what two bars are likened by. */
const PARTS_OF_LIKENESS = [
  "scoringWeight",
  "soundingWeight",
  "attacksWeight",
  "registerWeight",
  "dynamicsWeight",
] as const;

const OPTIONS = { texture: A_TEXTURE, constants: undefined };

/**
 * Freshness of a score. Two bars are scored alike by the parts that sound in either: 1 for a part with the same role
 * and figure in both, 0.6 for the same role with another figure, 0.3 for another role, 0 where it rests in one; the
 * mean over those parts, which makes 0.7 of the likeness. The other 0.3 belong to the lead: of the parts that lead in
 * either bar, the share that lead in both. The change at a bar line is how much less the two bars before are like the
 * two bars after than like each other. A change of at least 0.25 that is larger than its neighbours is a change point;
 * it lifts freshness by its size towards 1, less the more its scoring is like one left earlier in the last 24 bars
 * (half as much where it is the same), and from there freshness halves every four bars.
 *
 * Self-similarity sees more than scoring: the mean, by equal weights, of the likeness of scoring, of who sounds for
 * how much of the bar, of who strikes how often, of the parts' registers and of their dynamics. Novelty is the mean
 * of two kernels along its diagonal, one bar and two bars wide on each side: where a listener would hear something
 * begin. Neither weights nor widths are fitted to annotations.
 *
 * @param score the score
 * @param options texture and constants
 * @returns whole, per bar, per layer, change points, similarity matrix (of up to 2000 bars), who led, what repeats, what is unused, as a description and as advice
 * @throws {InputError} when a constant is unknown or not a number
 *
 * Source of the novelty curve: Foote, Automatic audio segmentation using a measure of audio novelty, ICME 2000;
 * the rest is a model assumption.
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, freshness, realise } from "ripieno";
 * import { assert } from "@std/assert";
 * const of = (plan: ReturnType<typeof demoPlans>["held"]) => freshness(realise(demoSketch(), plan)).whole.freshness;
 * assert(of(demoPlans().rotating) > of(demoPlans().moving));
 * ```
 */
export function freshness(score: Score, options: FreshnessOptions = {}): Freshness {
  checkOptions("compute freshness", options, OPTIONS);
  const settings = applySettings("freshness", FRESHNESS_CONSTANTS, options.constants);
  if (PARTS_OF_LIKENESS.every((name) => settings[name] === 0)) {
    throw new InputError({
      action: "compute freshness",
      problem: `${PARTS_OF_LIKENESS.join(", ")} are all 0, so no two bars could be compared`,
      remedy: "Leave at least one above 0",
    });
  }
  const texture = givenTexture("compute freshness", score, options.texture);
  const named = toldApart(score);
  const parts = score.parts.length;
  const count = score.bars.length;
  const bars = score.bars.map((_, b) => texture.cells.slice(b * parts, (b + 1) * parts));
  const { matrix, alike, scoredAlike: like } = selfSimilarity(score, bars, settings);
  const novelty = noveltyCurve(count, alike, Math.max(1, Math.round(settings.noveltyHalfWidthBars)));
  const perBar = barsOf(named, { bars, like, novelty, settings });
  const changes = perBar.filter((b, i) => i > 0 && b.barsSinceChange === 0).map((b): FreshnessChange => ({
    barIndex: b.barIndex,
    bar: b.bar,
    change: b.change,
    what: whatChanged(bars[b.barIndex - 1]!, bars[b.barIndex]!, named),
  }));
  const starts = [0, ...changes.map((p) => p.barIndex), count];
  const stretches = starts.slice(1).map((s, i) => s - starts[i]!);
  return {
    whole: {
      freshness: mean(perBar, (b) => b.freshness) ?? 0,
      barsBetweenChanges: changes.length === 0 ? null : count / stretches.length,
      longestStretchBars: greatestOf(stretches, 0),
      distinctLeads: leadsInBars(named, texture, { fromBarIndex: 0, toBarIndex: count - 1 }).length,
    },
    perBar,
    perLayer: texture.layers.map(({ id, role, fromBarIndex, toBarIndex }) => ({
      layer: id,
      role,
      fromBarIndex,
      toBarIndex,
      bars: toBarIndex - fromBarIndex + 1,
    })),
    changes,
    similarity: matrix,
    ...freshnessAdvice(named, { perBar, bars, texture, starts, like, settings }),
    settings,
  };
}

/** Freshness bar by bar: what a change lifts falls again with every bar. */
function barsOf(score: Score, { bars, like, novelty, settings }: {
  readonly bars: readonly (readonly RoleCell[])[];
  readonly like: (i: number, j: number) => number;
  readonly novelty: readonly number[];
  readonly settings: FreshnessSettings;
}): readonly FreshnessBar[] {
  const clock = clockOf(score);
  const changes = bars.map((_, b) => changeAt(b, bars.length, like, settings.compareBars));
  let fresh = 1;
  let since = 0;
  let stretchStart = 0;
  return score.bars.map((bar, b): FreshnessBar => {
    const change = changes[b]!;
    const isChange = b > 0 && change >= settings.changeFrom && change >= (changes[b - 1] ?? 0) &&
      change > (changes[b + 1] ?? 0);
    if (b > 0) fresh *= 2 ** (-1 / settings.halfLifeBars);
    since = b > 0 && !isChange ? since + 1 : 0;
    if (isChange) {
      const heard = likestBefore(b, stretchStart, like, settings);
      stretchStart = b;
      fresh += (1 - fresh) * Math.min(1, change * (1 - settings.repeatDiscount * heard));
    }
    return {
      barIndex: b,
      bar: bar.number,
      onsetSeconds: clock(bar.startTicks),
      freshness: fresh,
      change,
      novelty: novelty[b]!,
      barsSinceChange: since,
      lead: leadNames(bars[b]!, score),
    };
  });
}

/** Mean of the kernels from one bar wide to the widest. */
function noveltyCurve(
  count: number,
  alike: (i: number, j: number) => number,
  widest: number,
): readonly number[] {
  const curves = Array.from(
    { length: widest },
    (_, k) => noveltyOf(count, alike, { halfWidth: k + 1, normalised: true }),
  );
  return curves[0]!.map((_, b) => mean(curves, (curve) => curve[b]!)!);
}

function changeAt(
  b: number,
  count: number,
  like: (i: number, j: number) => number,
  compareBars: number,
): number {
  const width = Math.max(1, Math.round(compareBars));
  const before = Array.from({ length: width }, (_, k) => b - 1 - k).filter((i) => i >= 0);
  const after = Array.from({ length: width }, (_, k) => b + k).filter((i) => i < count);
  if (before.length === 0 || after.length === 0) return 0;
  const within = (list: readonly number[]) =>
    meanOr(list.flatMap((i) => list.filter((j) => j < i).map((j) => like(i, j))), 1);
  const across = meanOr(before.flatMap((i) => after.map((j) => like(i, j))), 1);
  return Math.max(0, (within(before) + within(after)) / 2 - across);
}

function meanOr(values: number[], whenEmpty: number): number {
  return values.length === 0 ? whenEmpty : preciseMean(values);
}

/** Likeness of a new scoring to the likest bar remembered, the stretch that it ends left out. */
function likestBefore(
  b: number,
  stretchStart: number,
  like: (i: number, j: number) => number,
  c: FreshnessSettings,
): number {
  let best = 0;
  for (let i = Math.max(0, b - Math.round(c.memoryBars)); i < stretchStart; i++) {
    best = Math.max(best, like(b, i));
  }
  return best;
}
