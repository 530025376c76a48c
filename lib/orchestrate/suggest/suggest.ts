/** Ways to make a passage of a finished score do what is wished, tried in the notes. */
import {
  A_FUNCTION,
  A_NUMBER,
  A_RECORD,
  A_SCORE,
  A_TEXT,
  A_TEXTURE,
  checkArgument,
  checkOptions,
  HARMONY_SPANS,
  listOf,
  oneOf,
} from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import type { Share } from "../../base/units.ts";
import type { HarmonyReading } from "../../harmony/harmony_results.ts";
import { readHarmony } from "../../harmony/read_harmony.ts";
import { BALANCE_CONSTANTS } from "../../measures/balance/balance_options.ts";
import type { Score } from "../../score/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { definedFigures } from "../../texture/define_figure.ts";
import type { Figure } from "../../texture/figures.ts";
import type { Texture } from "../../texture/model.ts";
import { FIGURES_OF_ONES_OWN } from "../plan/plan.ts";
import { type BarsAsked, barsAsked, finerBars } from "../rewrite/bars_asked.ts";
import { partsNamed, placeWishes } from "../rewrite/place_wishes.ts";
import { writtenAsAsked } from "../rewrite/as_asked.ts";
import { rewriteOver } from "../rewrite/write_over.ts";
import { withOwnFigures } from "../rewrite/wish.ts";
import { groupsIn } from "./groups_in.ts";
import { betterBy, costsInWords, gainsInWords, isWithin, newCaution, saidOf, worthOf } from "./judge_ways.ts";
import { barsWithChord, type Measured, measureScene, sceneOf } from "./scene.ts";
import type { Bounds, Search, SuggestProgress, TriedWay } from "./suggest_bounds.ts";
import {
  PASSAGE_WISHES,
  type PassageWish,
  type RefusedWay,
  shapeWished,
  type Suggestion,
  type Suggestions,
} from "./suggest_results.ts";
import type { TrialWay } from "./trial_way.ts";
import { waysFor } from "./ways_for.ts";

/** Options of {@linkcode suggest}. */
export interface SuggestOptions extends BarsAsked {
  /** What is wished. */
  readonly wish: PassageWish;
  /** Momentum that must be left, driving attacks per second. By default none. */
  readonly momentumAtLeast?: number;
  /** Audible share that the lead must keep. By default the share below which it counts as covered, or what it has, if that is less. */
  readonly leadAudibleAtLeast?: Share;
  /** Parts that must stay as they are. */
  readonly keep?: readonly string[];
  /** The only parts that may change. */
  readonly only?: readonly string[];
  /** How many ways are given at most; 6 by default. */
  readonly most?: number;
  /** Who does what, where it is known or was corrected by hand; by default it is read. */
  readonly texture?: Texture;
  /** The chords, where they are known or were corrected by hand; by default they are read off the notes. */
  readonly harmony?: Pick<HarmonyReading, "spans">;
  /** Figures of one's own, made by `defineFigure`, that are to be tried too. */
  readonly figures?: readonly Figure[];
  /** Called after each way that was tried. */
  readonly onProgress?: (progress: SuggestProgress) => void;
}

/** Single ways from which pairs are made. */
const PAIRED = 5;

const ACTION = "suggest a way";

/**
 * Ways to make a passage do what is wished, the best first: who could play what else, each written into the notes and measured
 * anew with the bars around, alone and in pairs. None adds what nobody can play. What each gives and costs is said in figures, and
 * what it newly asks of the players; limits are guides, and the players and their teachers decide.
 *
 * @param score the score; not changed
 * @param options the wish, the bars as printed, bounds, parts that stay or that alone may change
 * @returns the passage as it is, the ways, what was refused and why, and a sentence that says what came of it
 * @throws {InputError} for bars or parts the score does not have, and where nothing is left that may change
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { suggest } from "ripieno/orchestrate";
 * import { assertGreater } from "@std/assert";
 * const held = realise(demoSketch(), demoPlans().held);
 * const { before, ways } = suggest(held, { fromBar: 17, toBar: 20, wish: "move more", only: ["Violas", "Violins II"], most: 1 });
 * assertGreater(ways[0]!.after.momentum, before.momentum);
 * ```
 */
export function suggest(score: Score, options: SuggestOptions): Suggestions {
  checkArgument(ACTION, score, A_SCORE);
  checkArgument(ACTION, options, A_RECORD, "the options");
  checkOptions(ACTION, options, OPTIONS);
  const { wish, onProgress } = options;
  if (wish === undefined) {
    throw new InputError({
      action: ACTION,
      problem: "it is not said what is wished",
      remedy: `Give as wish one of ${PASSAGE_WISHES.join(", ")}`,
    });
  }
  const texture = givenTexture(ACTION, score, options.texture);
  const bars = barsAsked(score, options, { action: ACTION });
  const harmony = options.harmony ?? readHarmony(score, { texture });
  const figures = definedFigures(options.figures ?? []);
  const scene = { ...sceneOf({ score, texture }, bars, harmony), figures };
  const measured = measureScene(scene, scene.bars, shapeWished(wish));
  const groups = groupsIn(scene, mayChange(score, options, bars));
  if (groups.length === 0) {
    throw new InputError({
      action: ACTION,
      problem: "no part may change",
      remedy: "Name fewer parts to keep",
    });
  }
  const search: Search = {
    whole: { score, texture, harmony },
    wish,
    scene,
    measured,
    bounds: boundsOf(options, measured),
    onProgress,
  };
  const singles = waysFor(wish, { scene, groups, findings: measured.findings })
    .map((way) => ({ ...way, wishes: withOwnFigures(way.wishes, figures) }));
  return answer(search, singles, options.most ?? 6);
}

const OPTIONS = {
  wish: oneOf(PASSAGE_WISHES),
  momentumAtLeast: A_NUMBER,
  leadAudibleAtLeast: A_NUMBER,
  keep: listOf(A_TEXT, "a list of names"),
  only: listOf(A_TEXT, "a list of names"),
  most: A_NUMBER,
  texture: A_TEXTURE,
  harmony: HARMONY_SPANS,
  figures: FIGURES_OF_ONES_OWN,
  fromBar: A_NUMBER,
  toBar: A_NUMBER,
  onProgress: A_FUNCTION,
};

/** Which parts may change, by name. */
function mayChange(
  score: Score,
  { keep, only }: SuggestOptions,
  bars: Parameters<typeof partsNamed>[2]["bars"],
): (name: string) => boolean {
  const named = (names: readonly string[]) =>
    new Set(partsNamed(score, names, { action: ACTION, bars }).map((p) => score.parts[p]!.name));
  const kept = keep && keep.length > 0 ? named(keep) : new Set<string>();
  const chosen = only && named(only);
  return (name) => !kept.has(name) && (chosen === undefined || chosen.has(name));
}

function boundsOf(
  { momentumAtLeast, leadAudibleAtLeast }: SuggestOptions,
  { measures }: Measured,
): Bounds {
  const covered = BALANCE_CONSTANTS.coveredBelowShare.value;
  return {
    momentumAtLeast: momentumAtLeast ?? 0,
    leadAudibleAtLeast: leadAudibleAtLeast ?? Math.min(covered, measures.audibleShare ?? 0),
  };
}

/** Tries all single ways, then pairs of the best, and answers with those that help within the bounds. */
function answer(search: Search, singles: readonly TrialWay[], most: number): Suggestions {
  const { wish, measured, bounds, onProgress } = search;
  const refused: RefusedWay[] = [];
  let done = 0;
  let of = singles.length;
  const tryAll = (ways: readonly TrialWay[]): readonly TriedWay[] =>
    ways.flatMap((way) => {
      const tried = tryWay(search, way);
      onProgress?.({ done: ++done, of });
      if (!("why" in tried)) return [tried];
      refused.push(tried);
      return [];
    });
  const worth = (tried: TriedWay) => worthOf(wish, measured, tried.measured);
  const best = (some: readonly TriedWay[]) => some.toSorted((a, b) => worth(b) - worth(a));
  const helps = (tried: TriedWay) => betterBy(wish, measured, tried.measured) > 0;
  const alone = tryAll(singles);
  const good = best(alone.filter(helps));
  const kept = different(good.filter((t) => isWithin(bounds, t.measured)));
  const pairs = pairsOf(kept.slice(0, PAIRED));
  of += pairs.length;
  const together = tryAll(pairs);
  const better = different(best(together.filter((t) => helps(t) && isWithin(bounds, t.measured))));
  /** The first of some ways that are heard as what they ask for. */
  const heard = (some: readonly TriedWay[], count: number): readonly TriedWay[] => {
    const found: TriedWay[] = [];
    for (const tried of some) {
      if (found.length === count) break;
      const written = asHeard(search, tried);
      if ("why" in written) refused.push(written);
      else if (written === tried || helps(written) && isWithin(bounds, written.measured)) found.push(written);
    }
    return found;
  };
  const ways = best([...heard(kept, Math.ceil(most / 2)), ...heard(better, Math.floor(most / 2))]);
  return {
    wish,
    before: measured.measures,
    ways: ways.map((tried) => suggestionOf(search, tried)),
    refused,
    tried: alone.length + together.length + refused.length,
    said: saidOf(search, { all: [...alone, ...together], good, ways, refused: refused.length }),
  };
}

/** The best of ways, in order, that give the same parts the same roles. */
function different(ways: readonly TriedWay[]): readonly TriedWay[] {
  const seen = new Set<string>();
  return ways.filter(({ way }) => {
    const key = way.wishes.map((w) => `${w.parts.join("+")}: ${w.role ?? "otherwise"}`).sort().join("; ");
    const isNew = !seen.has(key);
    seen.add(key);
    return isNew;
  });
}

/** Pairs of ways that ask different parts. */
function pairsOf(ways: readonly TriedWay[]): readonly TrialWay[] {
  return ways.flatMap(({ way: first }, i) =>
    ways.slice(i + 1).flatMap(({ way: second }): readonly TrialWay[] => {
      const parts = new Set(first.wishes.flatMap((w) => w.parts));
      if (second.wishes.some((w) => w.parts.some((p) => parts.has(p)))) return [];
      return [{
        what: `${first.what}; ${second.what}`,
        why: first.why === second.why ? first.why : `${first.why} ${second.why}`,
        wishes: [...first.wishes, ...second.wishes],
      }];
    })
  );
}

/** Writes a way into the scene and measures it, or says why it cannot be. */
function tryWay({ scene, wish }: Search, way: TrialWay): TriedWay | RefusedWay {
  try {
    const after = rewriteOver(scene.score, placeWishes(scene.score, way.wishes, ACTION), scene);
    const bars = finerBars(scene.bars, after.score.ticksPerQuarter / scene.score.ticksPerQuarter);
    if (2 * barsWithChord(after, bars) < barsWithChord(scene, bars)) {
      return { what: way.what, why: "Nobody would be left to give the chord." };
    }
    return { way, measured: measureScene(after, bars, shapeWished(wish)) };
  } catch (error) {
    if (error instanceof InputError) return { what: way.what, why: error.message };
    throw error;
  }
}

/** A way in the octaves in which it is heard as what it asks for, measured there; or why it is not. */
function asHeard(search: Search, tried: TriedWay): TriedWay | RefusedWay {
  const { whole } = search;
  const { way } = tried;
  try {
    const { asked } = writtenAsAsked(whole.score, placeWishes(whole.score, way.wishes, ACTION), whole);
    const isMoved = asked.some(({ wish }, i) => wish.octave !== way.wishes[i]!.octave);
    return isMoved ? tryWay(search, { ...way, wishes: asked.map((p) => p.wish) }) : tried;
  } catch (error) {
    if (error instanceof InputError) return { what: way.what, why: error.message };
    throw error;
  }
}

function suggestionOf({ wish, measured }: Search, { way, measured: after }: TriedWay): Suggestion {
  return {
    ...way,
    gains: gainsInWords(wish, measured.measures, after.measures),
    costs: costsInWords(wish, measured.measures, after.measures),
    caution: newCaution(measured, after),
    after: after.measures,
  };
}
