/** How recently the orchestration changed, where it changes, and what goes stale. */
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { InputError } from "../../base/errors.ts";
import { A_TEXTURE, checkOptions, NUMBERS } from "../../base/arguments.ts";
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { greatestOf } from "../../base/extremes.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { toldApart } from "../../score/told_apart.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { withoutUpbeats } from "../../texture/without_upbeats.ts";
import { selfSimilarity } from "./bar_likeness.ts";
import { leadsInBars } from "../leads_in_bars.ts";
import { freshnessAdvice, type FreshnessInWords } from "./freshness_advice.ts";
import { leadNames, whatChanged } from "./freshness_words.ts";
import { noveltyOf } from "./novelty.ts";
import { FRESHNESS_CONSTANTS } from "./freshness_constants.ts";
import type { Freshness, FreshnessBar, FreshnessChange, FreshnessPhrase } from "./freshness_results.ts";
import { leadLine } from "./lead_line.ts";
import { phraseStarts } from "./phrases.ts";
import { phraseTurns } from "./phrase_turns.ts";
import { meanFrom, renewal } from "./renewal.ts";

export { FRESHNESS_CONSTANTS } from "./freshness_constants.ts";

/** Options of {@linkcode freshness}. */
export interface FreshnessOptions {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** First bars of the phrases, index from 0, where you know them; otherwise they are read off the notes. */
  readonly phrases?: readonly number[];
  /** Constants that differ from {@linkcode FRESHNESS_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof FRESHNESS_CONSTANTS>>;
}

/** Weights of what two bars are likened by. */
const PARTS_OF_LIKENESS = [
  "scoringWeight",
  "soundingWeight",
  "attacksWeight",
  "registerWeight",
  "dynamicsWeight",
] as const;

const OPTIONS = { texture: A_TEXTURE, phrases: NUMBERS, constants: undefined };

/**
 * Freshness of a score. Two bars are scored alike by the parts that sound in either: 1 for a part with the same role
 * and figure in both, 0.6 for the same role with another figure, 0.3 for another role, 0 where it rests in one; the
 * mean over those parts, which makes 0.7 of the likeness. The other 0.3 belong to the lead: of the parts that lead in
 * either bar, the share that lead in both. The change at a bar line is how much less the two bars before are like the
 * two bars after than like each other.
 *
 * *Renewal.* The scoring is renewed where a phrase begins: a change of at least 0.25 lifts freshness by its size towards
 * 1, less where its scoring was left just before (half as much where it is the same; the longer ago it was, the less is
 * taken: a return after a while is a frame). From there it halves every 8.4 bars, which nine leads in ten do not last.
 *
 * *Coherence.* What changes inside a phrase is change for its own sake, unless it answers what was heard in the last eight
 * bars: it renews nothing, and a phrase in which such changes sum to n has the coherence `1 / (1 + n)`; where the line
 * waits, and beside the phrase's beginning, they count half. A bar's freshness is renewal times coherence, and
 * `restlessness` is what is wanting of coherence, mean over the bars.
 *
 * *Phrases* are read off the leading line and the bass, whoever plays them, or given: where the line waits, where a
 * repetition begins, where the bass closes, at printed signs, and by the usual length of eight bars.
 *
 * Self-similarity sees more than scoring: the mean, by equal weights, of the likeness of scoring, of who sounds for
 * how much of the bar, of who strikes how often, of the parts' registers and of their dynamics. Novelty is the mean
 * of two kernels along its diagonal, one bar and two bars wide on each side: where a listener would hear something
 * begin. Neither weights nor widths are fitted to annotations.
 *
 * @param score the score
 * @param options texture and constants
 * @returns whole, per bar, per layer, change points, similarity matrix (of up to 2000 bars), who led, what repeats, what is unused, as a description and as advice
 * @throws {InputError} when a constant is unknown or not a number, or a phrase begins outside the score
 *
 * Sources: of the novelty curve Foote, Automatic audio segmentation using a measure of audio novelty, ICME 2000; of
 * phrases Temperley, The Cognition of Basic Musical Structures (2001), ch. 3, from memory; of the half-life the lengths of
 * annotated leads. The rest is a model assumption.
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
  const { figures, inWords, settings } = measured(score, options);
  return { ...figures, ...inWords(), settings };
}

/** {@linkcode freshness} without what it says in words, for callers with many scores. */
export function freshnessFigures(score: Score, options: FreshnessOptions = {}): FreshnessFigures {
  return measured(score, options).figures;
}

/** What is counted, before anything is said of it. */
type FreshnessFigures = Omit<Freshness, keyof FreshnessInWords | "settings">;

function measured(score: Score, options: FreshnessOptions): {
  readonly figures: FreshnessFigures;
  readonly inWords: () => FreshnessInWords;
  readonly settings: Settings<typeof FRESHNESS_CONSTANTS>;
} {
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
  const byBar = (cells: readonly RoleCell[]) =>
    score.bars.map((_, b) => cells.slice(b * parts, (b + 1) * parts));
  // Where a layer begins is known of what was planned; what is read has its changes in the bars in which they are heard.
  const bars = byBar(withoutUpbeats(texture));
  const { matrix, alike, scoredAlike: like } = selfSimilarity(score, bars, settings);
  const novelty = noveltyCurve(count, alike, Math.max(1, Math.round(settings.noveltyHalfWidthBars)));
  const sounds = bars.map((bar) => bar.some((c) => c.role !== "rest"));
  const fromBarIndex = firstFullBar(score, sounds);
  const { noveltyWeight } = settings;
  const turns = phraseTurns(score, leadLine(score, byBar(texture.cells)), settings);
  const withNovelty = turns.map((turn, b) => turn + noveltyWeight * Math.max(0, novelty[b]!));
  const phraseBars = options.phrases === undefined
    ? phraseStarts(withNovelty, fromBarIndex, settings)
    : givenStarts(options.phrases, count);
  const renewed = renewal({ fromBarIndex, starts: phraseBars, turns, sounds, like, settings });
  const perBar = barsOf(named, { bars, renewed: renewed.bars, novelty, turns });
  const changes = changesIn(perBar, { bars, phraseBars, named });
  const starts = [0, ...changes.map((p) => p.barIndex), count];
  const stretches = starts.slice(1).map((s, i) => s - starts[i]!);
  const phrases = phraseBars.map((from, p): FreshnessPhrase => ({
    fromBarIndex: from,
    toBarIndex: (phraseBars[p + 1] ?? count) - 1,
    bar: score.bars[from]!.number,
    coherence: renewed.coherence[p]!,
  }));
  const figures = {
    whole: {
      freshness: meanFrom(perBar, fromBarIndex, (b) => b.freshness),
      restlessness: meanFrom(perBar, fromBarIndex, (b) => 1 - phrases[b.phrase]!.coherence),
      barsBetweenChanges: changes.length === 0 ? null : count / stretches.length,
      longestStretchBars: greatestOf(stretches, 0),
      distinctLeads: leadsInBars(named, texture, { fromBarIndex: 0, toBarIndex: count - 1 }).length,
    },
    perBar,
    phrases,
    perLayer: texture.layers.map(({ id, role, fromBarIndex, toBarIndex }) => ({
      layer: id,
      role,
      fromBarIndex,
      toBarIndex,
      bars: toBarIndex - fromBarIndex + 1,
    })),
    changes,
    similarity: matrix,
  };
  const inWords = () => freshnessAdvice(named, { perBar, phrases, bars, texture, starts, like, settings });
  return { figures, inWords, settings };
}

/** Bars in which who does what changes, and what it was. */
function changesIn(
  perBar: readonly FreshnessBar[],
  { bars, phraseBars, named }: {
    readonly bars: readonly (readonly RoleCell[])[];
    readonly phraseBars: readonly number[];
    readonly named: Score;
  },
): readonly FreshnessChange[] {
  const isPhraseStart = new Set(phraseBars);
  return perBar.filter((b, i) => i > 0 && b.barsSinceChange === 0).map((b): FreshnessChange => ({
    barIndex: b.barIndex,
    bar: b.bar,
    change: b.change,
    beginsPhrase: isPhraseStart.has(b.barIndex),
    what: whatChanged(bars[b.barIndex - 1]!, bars[b.barIndex]!, named),
  }));
}

/** The first bar that sounds; an upbeat, shorter than the bar after it, leads into that. */
function firstFullBar({ bars }: Score, sounds: readonly boolean[]): number {
  const first = Math.max(0, sounds.indexOf(true));
  const next = bars[first + 1];
  return next !== undefined && bars[first]!.durationTicks < next.durationTicks ? first + 1 : first;
}

/** First bars of phrases that a caller knows: in order, each once, the beginning among them. */
function givenStarts(phrases: readonly number[], count: number): readonly number[] {
  const stranger = phrases.find((b) => !Number.isInteger(b) || b < 0 || b >= Math.max(1, count));
  if (stranger !== undefined) {
    throw new InputError({
      action: "compute freshness",
      problem: `a phrase begins in bar index ${stranger}, and the score has ${count} bars`,
      remedy: `Give bar indices, whole numbers from 0 to ${Math.max(0, count - 1)}`,
    });
  }
  return count === 0 ? [] : [...new Set([0, ...phrases])].sort((a, b) => a - b);
}

/** One row per bar. */
function barsOf(score: Score, { bars, renewed, novelty, turns }: {
  readonly bars: readonly (readonly RoleCell[])[];
  readonly renewed: ReturnType<typeof renewal>["bars"];
  readonly novelty: readonly number[];
  readonly turns: readonly number[];
}): readonly FreshnessBar[] {
  const clock = clockOf(score);
  let since = 0;
  return score.bars.map((bar, b): FreshnessBar => {
    const { freshness, change, isChange, phrase, restless } = renewed[b]!;
    since = b > 0 && !isChange ? since + 1 : 0;
    return {
      barIndex: b,
      bar: bar.number,
      onsetSeconds: clock(bar.startTicks),
      freshness,
      change,
      novelty: novelty[b]!,
      turn: Math.min(1, turns[b]!),
      phrase,
      restless,
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
