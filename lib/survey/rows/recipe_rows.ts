/** A recipe as rows of a table, and back. */
import type { InstrumentFamily } from "../../instruments/catalogue.ts";
import { figureInWords } from "../../texture/figures.ts";
import type { Role } from "../../texture/roles.ts";
import type { Recipe, TurnKind } from "../recipes/recipe_results.ts";
import type { SurveyRecipeRow, SurveyScore } from "../survey_results.ts";

type RecipeCell = Omit<SurveyRecipeRow, "path">;

/** The rows of a recipe; its lengths and counts stand in the row of its score. */
export function recipeRows(recipe: Recipe): readonly RecipeCell[] {
  return [
    ...recipe.roles.map((r): RecipeCell => row("role by family", r.family, r.role, r.share)),
    ...recipe.figures.map((r): RecipeCell => row("figure by family", r.family, r.figure, r.share)),
    ...recipe.doublings.map((r): RecipeCell => row("doubling", r.instrument, r.with, r.share)),
    ...recipe.turns.map((r): RecipeCell => row("turn", r.what, "", r.share)),
    ...recipe.momentum.map((value, i): RecipeCell => row("momentum", String(i + 1), "", value)),
    ...recipe.audibleShare.map((value, i): RecipeCell => row("audible share", String(i + 1), "", value)),
  ];
}

function row(of: string, first: string, second: string, value: number | null): RecipeCell {
  return { of, first, second, value };
}

/** The recipe whose rows these are, with what the row of its score says. */
export function recipeFromRows(score: SurveyScore, rows: readonly SurveyRecipeRow[]): Recipe {
  const of = (what: string) => rows.filter((r) => r.of === what);
  return {
    name: score.path,
    bars: score.bars!,
    scores: 1,
    roles: of("role by family").map((r) => ({
      family: r.first as InstrumentFamily,
      role: r.second as Role,
      share: r.value!,
    })),
    figures: of("figure by family").map((r) => ({
      family: r.first as InstrumentFamily,
      figure: figureInWords(r.second),
      share: r.value!,
    })),
    doublings: of("doubling").map((r) => ({ instrument: r.first, with: r.second, share: r.value! })),
    leads: {
      changesPer100Bars: score.leadChangesPer100Bars!,
      medianBars: score.medianLeadBars,
      longestBars: score.longestLeadBars!,
    },
    turnsPer100Bars: score.turnsPer100Bars!,
    turns: of("turn").map((r) => ({ what: r.first as TurnKind, share: r.value! })),
    momentum: of("momentum").map((r) => r.value!),
    audibleShare: of("audible share").map((r) => r.value),
  };
}
