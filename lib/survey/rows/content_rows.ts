/** What a survey keeps of one score: rows of figures, of bars and of its recipe. */
import { compare, study } from "../../measures/compare/compare.ts";
import type { Study } from "../../measures/compare/study_results.ts";
import { endTicksOf, secondsOf } from "../../score/time.ts";
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
import { textureOf } from "../../texture/recognise/recognise.ts";
import { recipeOf } from "../recipes/recipe.ts";
import type { Recipe } from "../recipes/recipe_results.ts";
import type { SurveyBar, SurveyScore } from "../survey_results.ts";
import { recipeRows } from "./recipe_rows.ts";
import { type AnyRow, type ContentRows, toTwelveDigits } from "./tables.ts";

/** Reads roles and measures of a score and keeps what a survey says of it. */
export function contentRows(score: Score, hash: string): ContentRows {
  const texture = textureOf(score);
  const measured = study(score, { texture });
  const recipe = recipeOf(score, { texture, study: measured });
  return {
    scores: [rounded(scoreRow(score, measured, { recipe, hash }))],
    bars: barRows(measured).map(rounded),
    recipes: recipeRows(recipe).map(rounded),
  };
}

/** What is kept of a content that could not be read or measured. */
export function errorRows(hash: string, error: string): ContentRows {
  return { scores: [{ hash, error }], bars: [], recipes: [] };
}

function rounded(row: object): AnyRow {
  const entries = Object.entries(row as AnyRow);
  return Object.fromEntries(
    entries.map(([field, value]) => [field, typeof value === "number" ? toTwelveDigits(value) : value]),
  );
}

function scoreRow(
  score: Score,
  measured: Study,
  { recipe, hash }: { readonly recipe: Recipe; readonly hash: string },
): Omit<SurveyScore, "path"> {
  const [row] = compare([measured]);
  const { leads, turnsPer100Bars } = recipe;
  const { name: _, ...figures } = row!;
  return {
    hash,
    error: null,
    title: score.title,
    parts: score.parts.length,
    bars: score.bars.length,
    notes: soundingNotes(score).length,
    durationSeconds: secondsOf(score, endTicksOf(score)),
    ...figures,
    leadChangesPer100Bars: leads.changesPer100Bars,
    medianLeadBars: leads.medianBars,
    longestLeadBars: leads.longestBars,
    turnsPer100Bars,
    notices: score.notices.length,
  };
}

function barRows({ momentum, balance, freshness }: Study): readonly Omit<SurveyBar, "path">[] {
  return momentum.perBar.map(({ barIndex, bar, onsetSeconds, momentum }, b) => {
    const { audibleShare, loudnessSones, lead } = balance.perBar[b]!;
    const fresh = freshness.perBar[b]!;
    return {
      barIndex,
      bar,
      onsetSeconds,
      momentum,
      audibleShare,
      loudnessSones,
      freshness: fresh.freshness,
      change: fresh.change,
      lead,
    };
  });
}
