/** A recipe as rows of a table, and back. */
import type { InstrumentFamily } from "../../instruments/catalogue.ts";
import { instrumentById } from "../../instruments/names/instrument_by_id.ts";
import { figureInWords } from "../../texture/figures.ts";
import type { Role } from "../../texture/roles.ts";
import type { Recipe, TurnKind } from "../recipes/recipe_results.ts";
import type { SurveyRecipeRow, SurveyScore } from "../survey_results.ts";

type RecipeCell = Omit<SurveyRecipeRow, "path">;

/** The rows of a recipe; its lengths and counts stand in the row of its score. */
export function recipeRows(recipe: Recipe): readonly RecipeCell[] {
  return [
    ...recipe.roles.map((r): RecipeCell => row("role by family", r.family, r.role, r.share)),
    ...recipe.figures.map((r): RecipeCell => row("figure by instrument", r.instrument, r.figure, r.share)),
    ...figuresByFamily(recipe),
    ...recipe.doublings.map((r): RecipeCell => row("doubling", r.instrument, r.with, r.share)),
    ...recipe.turns.map((r): RecipeCell => row("turn", r.what, "", r.share)),
    ...recipe.momentum.map((value, i): RecipeCell => row("momentum", String(i + 1), "", value)),
    ...recipe.audibleShare.map((value, i): RecipeCell => row("audible share", String(i + 1), "", value)),
  ];
}

/** Figures by family too, for whoever asks the table. */
function figuresByFamily({ figures }: Recipe): readonly RecipeCell[] {
  const sums = new Map<string, RecipeCell & { value: number }>();
  for (const { family, figure, share } of figures) {
    const key = `${family}|${figure}`;
    sums.set(key, {
      ...row("figure by family", family, figure, 0),
      value: (sums.get(key)?.value ?? 0) + share,
    });
  }
  return [...sums].sort(([a, x], [b, y]) => y.value - x.value || (a < b ? -1 : 1)).map(([, cell]) => cell);
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
    figures: of("figure by instrument").map((r) => ({
      instrument: r.first,
      family: instrumentById(r.first).family,
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
