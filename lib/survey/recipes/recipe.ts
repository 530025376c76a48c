/** What a score is made of: who does what with which figure, who doubles whom, how long a lead lasts, what turns bring. */
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import {
  A_NUMBER,
  A_SCORE,
  A_STUDY,
  A_TEXT,
  A_TEXTURE,
  checkArgument,
  checkOptions,
} from "../../base/arguments.ts";
import { refusals } from "../../base/errors.ts";
import { instrumentById } from "../../instruments/names/instrument_by_id.ts";
import type { Study } from "../../measures/compare/study_results.ts";
import { freshnessFigures } from "../../measures/freshness/freshness.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import type { BarsRead } from "./bars_read.ts";
import { doublingsOf } from "./doublings_of.ts";
import { leadsOf } from "./leads_of.ts";
import type { Recipe } from "./recipe_results.ts";
import { textureShares } from "./texture_shares.ts";
import { turnsOf } from "./turns_of.ts";

/** Options of {@linkcode recipeOf}. */
export interface RecipeOptions {
  /** Name; by default the score's title, or else its source. */
  readonly name?: string;
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** The score's study, for momentum and balance; without it these are left out. */
  readonly study?: Study;
  /** First bar that counts, index from 0; the first of the score unless given. */
  readonly fromBarIndex?: number;
  /** Last bar that counts, inclusive; the last of the score unless given. */
  readonly toBarIndex?: number;
}

const ACTION = "read the recipe";
const OPTIONS = {
  name: A_TEXT,
  texture: A_TEXTURE,
  study: A_STUDY,
  fromBarIndex: A_NUMBER,
  toBarIndex: A_NUMBER,
};

/** Stretches that momentum and balance are told over. */
const STRETCHES = 10;

/**
 * What a score, or some bars of it, is made of: role by instrument family, figure by instrument, doublings, lengths of leads,
 * what changes at turns, and momentum and balance from beginning to end. All are shares or counts by the bar, so that a short
 * score can be held against a long one.
 *
 * @param score the score
 * @param options name, texture, study, bars
 * @returns the recipe
 * @throws {InputError} when an option is unknown, the texture is another score's, or there are no such bars
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { recipeOf } from "ripieno/survey";
 * import { assertAlmostEquals, assertEquals } from "@std/assert";
 * const { roles, leads } = recipeOf(realise(demoSketch(), demoPlans().rotating));
 * assertAlmostEquals(roles.reduce((sum, r) => sum + r.share, 0), 1);
 * assertEquals(leads.medianBars, 8); // its lead is handed on with every passage
 * ```
 */
export function recipeOf(score: Score, options: RecipeOptions = {}): Recipe {
  checkOptions(ACTION, options, OPTIONS);
  checkArgument(ACTION, score, A_SCORE);
  const texture = givenTexture(ACTION, score, options.texture);
  const { fromBarIndex: from = 0, toBarIndex: to = score.bars.length - 1, study } = options;
  refuseNoBars(score, from, to);
  const instruments = score.parts.map((p) => instrumentById(p.instrument));
  const read: BarsRead = { score, texture, instruments, from, to };
  const changes = (study?.freshness ?? freshnessFigures(score, { texture })).changes
    .map((c) => c.barIndex).filter((b) => b > from && b <= to);
  const bars = to - from + 1;
  const stretches = <Row extends { readonly barIndex: number }>(rows: readonly Row[]) =>
    stretchesOf(rows, from, bars);
  return {
    name: options.name ?? (score.title || score.source),
    bars,
    scores: 1,
    ...textureShares(read),
    doublings: doublingsOf(read),
    leads: leadsOf(read),
    turnsPer100Bars: 100 * changes.length / bars,
    turns: turnsOf(read, changes),
    momentum: study ? stretches(study.momentum.perBar).map((rows) => mean(rows, (r) => r.momentum) ?? 0) : [],
    audibleShare: study
      ? stretches(study.balance.perBar).map((rows) => mean(rows, (r) => r.audibleShare) ?? null)
      : [],
  };
}

function refuseNoBars({ bars }: Score, from: number, to: number): void {
  const isBar = (b: number) => Number.isInteger(b) && b >= 0 && b < bars.length;
  if (isBar(from) && isBar(to) && from <= to) return;
  throw refusals(ACTION)(
    bars.length === 0 ? "the score has no bars" : `there are no bars from index ${from} to ${to}`,
    bars.length === 0
      ? "Give a score with music in it"
      : `Give indexes from 0 to ${bars.length - 1}, the first no greater than the last`,
  );
}

/** Rows by equal stretches of the bars; a bar of a short score may stand for several. */
function stretchesOf<Row extends { readonly barIndex: number }>(
  rows: readonly Row[],
  from: number,
  bars: number,
): readonly (readonly Row[])[] {
  const byBar = new Map(rows.map((row) => [row.barIndex, row]));
  return Array.from({ length: STRETCHES }, (_, s) => {
    const first = from + Math.floor(s * bars / STRETCHES);
    const last = from + Math.max(Math.ceil((s + 1) * bars / STRETCHES) - 1, Math.floor(s * bars / STRETCHES));
    return Array.from({ length: last - first + 1 }, (_, i) => byBar.get(first + i)).filter((row) =>
      row !== undefined
    );
  });
}
