import * as Plot from "@observablehq/plot";
import { A_RECORD, checkArgument, listOf } from "../../../base/arguments.ts";
import { INSTRUMENT_FAMILIES, type InstrumentFamily } from "../../../instruments/catalogue.ts";
import type { Recipe } from "../../../survey/recipes/recipe_results.ts";
import { type Role, ROLE_NAMES } from "../../../texture/roles.ts";
import { cannotDraw, type ChartOptions, checkedOptions } from "../../drawing/chart_options.ts";
import { chartFrame, type FrameBlock, roleFill } from "../../drawing/frame.ts";
import { joinedFills } from "../../drawing/named_mark.ts";
import { plotBlock } from "../../drawing/plot_block.ts";
import { type Chart, h, svgText } from "../../drawing/svg.ts";
import { fitText, textWidth } from "../../drawing/text_width.ts";
import { counted, percent } from "../../drawing/words.ts";
import { recipeTitle } from "../../titles/comparison_titles.ts";

const NAME = "recipe";
const SIDE = 12;
const HEAD = 24;
const ROW = 19;
const FOOT = 12;
const WORDS = 11;
/** Recipes that are drawn; more would be read by nobody. */
const MOST = 12;
/** Families with less of the sound in every recipe are left out. */
const LEAST_SHARE = 0.005;
/** Figures that are named beside a family. */
const FIGURES = 2;

/** A piece of a family's bar. */
interface RolePiece {
  readonly family: InstrumentFamily;
  readonly role: Role;
  readonly from: number;
  readonly to: number;
}

/**
 * What scores are made of, one below the other: for each family of instruments a bar as long as its share of all that sounds,
 * cut into what it is for, and beside it the figures it plays most.
 *
 * @param recipes recipes, as from `recipeOf`, `meanRecipe` or `readRecipes`; of more than 12 the first are drawn
 * @param options width, height of the recipes together, title
 * @returns the chart
 * @throws {InputError} when there is no recipe, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { chartSvg, recipeChart } from "ripieno/show";
 * import { recipeOf } from "ripieno/survey";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = recipeChart([recipeOf(demoScore(), { name: "Spate" })]);
 * assertStringIncludes(chartSvg(chart), "woodwind");
 * ```
 */
export function recipeChart(recipes: readonly Recipe[], options: ChartOptions = {}): Chart {
  const { width, height, title } = checkedOptions("recipe chart", options);
  checkArgument("draw the recipe chart", recipes, listOf(A_RECORD, "a list of recipes"));
  if (recipes.length === 0 || !recipes.every((r) => Array.isArray(r.roles) && Array.isArray(r.figures))) {
    throw cannotDraw("recipe chart", "there is no recipe", "Give a list of what recipeOf() returns");
  }
  const shown = recipes.slice(0, MOST);
  const families = INSTRUMENT_FAMILIES.filter((family) =>
    shown.some((recipe) => shareOf(recipe, family) >= LEAST_SHARE)
  );
  const longest = Math.max(...shown.flatMap((recipe) => families.map((family) => shareOf(recipe, family))));
  const rowHeight = height === undefined
    ? ROW
    : Math.max(12, (height / shown.length - HEAD - FOOT) / families.length);
  const nameRoom = Math.max(...families.map((family) => textWidth(family, WORDS))) + 10;
  const layout: RecipeLayout = { width, families, longest, rowHeight, left: SIDE + nameRoom };
  const roles = ROLE_NAMES.filter((role) => shown.some((r) => r.roles.some((row) => row.role === role)));
  return chartFrame({
    name: NAME,
    width,
    title: title ?? recipeTitle(shown, shareOf, families),
    note: "Bars: share of all bars in which any part sounds, each part's counted." +
      (recipes.length > MOST ? ` The first ${MOST} of ${recipes.length}.` : ""),
    label: shown.map((recipe) =>
      `${recipe.name}: ${
        families.map((f) => `${f} ${Math.round(100 * shareOf(recipe, f))} per cent`).join(", ")
      }`
    ).join("; "),
    legend: roles.map((role) => [role, role] as const),
    blocks: shown.map((recipe) => recipeBlock(recipe, layout)),
  });
}

interface RecipeLayout {
  readonly width: number;
  readonly families: readonly InstrumentFamily[];
  readonly longest: number;
  readonly rowHeight: number;
  readonly left: number;
}

/** One recipe: its name, and a row for each family. */
function recipeBlock(recipe: Recipe, layout: RecipeLayout): FrameBlock {
  const { width, families, longest, rowHeight, left } = layout;
  const room = (width - SIDE - left) * 0.58;
  const height = HEAD + families.length * rowHeight + FOOT;
  const middle = (i: number) => HEAD + (i + 0.5) * rowHeight + WORDS * 0.35;
  const endOf = (family: InstrumentFamily) => left + room * shareOf(recipe, family) / longest;
  const bars = plotBlock({
    width: left + room,
    height,
    marginTop: HEAD,
    marginBottom: FOOT,
    marginLeft: left,
    x: { domain: [0, longest] },
    y: { type: "band", domain: families, padding: 0.18 },
    marks: [
      Plot.barX(families.flatMap((family) => piecesOf(recipe, family)), {
        ...joinedFills("recipe-roles"),
        x1: "from",
        x2: "to",
        y: "family",
        fill: (p: RolePiece) => roleFill(NAME, p.role),
        title: (p: RolePiece) => `${p.family}: ${p.role} ${percent(p.to - p.from)} of all that sounds`,
      }),
    ],
  });
  const head = `${recipe.name} (${
    recipe.scores === 1 ? counted(recipe.bars, "bar") : counted(recipe.scores, "score")
  })`;
  return {
    element: h(
      "g",
      { class: "recipe" },
      bars.element,
      svgText({ text: fitText(head, 12, width - 2 * SIDE), x: SIDE, y: 14, size: 12, weight: 600 }),
      ...families.flatMap((family, i) => [
        svgText({ text: family, x: SIDE, y: middle(i), size: WORDS }),
        svgText({
          text: fitText(figuresInWords(recipe, family), WORDS, width - SIDE - endOf(family) - 8),
          x: endOf(family) + 8,
          y: middle(i),
          size: WORDS,
          opacity: 0.8,
        }),
      ]),
    ),
    height,
  };
}

function shareOf(recipe: Recipe, family: InstrumentFamily): number {
  return recipe.roles.filter((row) => row.family === family).reduce((sum, row) => sum + row.share, 0);
}

/** A family's roles along its bar, from the lead on. */
function piecesOf(recipe: Recipe, family: InstrumentFamily): readonly RolePiece[] {
  let sum = 0;
  return ROLE_NAMES.flatMap((role): readonly RolePiece[] => {
    const share = recipe.roles.find((row) => row.family === family && row.role === role)?.share ?? 0;
    return share === 0 ? [] : [{ family, role, from: sum, to: sum += share }];
  });
}

/** `18 %: tune, held chord`: a family's share and the figures it plays most. */
function figuresInWords(recipe: Recipe, family: InstrumentFamily): string {
  const whole = shareOf(recipe, family);
  if (whole === 0) return "–";
  const sums = new Map<string, number>();
  for (const row of recipe.figures) {
    if (row.family === family) sums.set(row.figure, (sums.get(row.figure) ?? 0) + row.share);
  }
  const most = [...sums].sort(([a, x], [b, y]) => y - x || (a < b ? -1 : 1)).slice(0, FIGURES);
  return `${percent(whole)}: ${
    most.map(([figure, share]) => `${figure} ${percent(share / whole)}`).join(", ")
  }`;
}
