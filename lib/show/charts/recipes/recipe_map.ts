import * as Plot from "@observablehq/plot";
import { A_RECORD, checkArgument, listOf } from "../../../base/arguments.ts";
import type { RecipePlace } from "../../../survey/recipes/recipe_results.ts";
import { cannotDraw, type ChartOptions, checkedOptions } from "../../drawing/chart_options.ts";
import { chartFrame } from "../../drawing/frame.ts";
import { namedMark } from "../../drawing/named_mark.ts";
import { plotBlock } from "../../drawing/plot_block.ts";
import { type Chart, h, svgText } from "../../drawing/svg.ts";
import { fitText, textWidth } from "../../drawing/text_width.ts";
import { hue } from "../../drawing/theme.ts";
import { counted } from "../../drawing/words.ts";
import { recipeMapTitle } from "../../titles/comparison_titles.ts";

const NAME = "recipe-map";
const SIDE = 24;
const WORDS = 11;
const DOT = 4;
/** Names longer than this are shortened. */
const LONGEST_NAME = 170;

/** A name beside its point, in pixels; none where there was no room. */
interface PlacedName {
  readonly text: string;
  readonly x: number;
  readonly y: number;
}

/**
 * Scores on a page, those that are made alike beside each other; a line goes from each to the one that is nearest by the true
 * distance. Names that would lie on others are left out and pop up over their points.
 *
 * @param places places, as from `recipePlaces`
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when there are no places, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { chartSvg, recipeMap } from "ripieno/show";
 * import { recipeOf, recipePlaces } from "ripieno/survey";
 * import { assertStringIncludes } from "@std/assert";
 * const recipes = Object.values(demoPlans()).map((plan) => recipeOf(realise(demoSketch(), plan), { name: plan.name }));
 * assertStringIncludes(chartSvg(recipeMap(recipePlaces(recipes))), "moving textures");
 * ```
 */
export function recipeMap(places: readonly RecipePlace[], options: ChartOptions = {}): Chart {
  const { width, height = 0.62 * width, title } = checkedOptions(
    "recipe map",
    options,
  );
  checkArgument("draw the recipe map", places, listOf(A_RECORD, "a list of places"));
  if (places.length === 0 || !places.every((p) => Number.isFinite(p.x) && Number.isFinite(p.y))) {
    throw cannotDraw("recipe map", "there are no places", "Give what recipePlaces() returns");
  }
  const pixels = pixelsOf(places, width, height);
  const block = plotBlock({
    width,
    height,
    x: { domain: [0, width], range: [0, width] },
    y: { domain: [height, 0], range: [height, 0] },
    marks: mapMarks(places, pixels),
  });
  const names = namesBeside(places, pixels, width);
  return chartFrame({
    name: NAME,
    width,
    title: title ?? recipeMapTitle(places),
    note:
      "Near: the same families in the same roles, the same instruments with the same figures. A line goes from each to its nearest, by the true distance; on paper only the two directions of most difference are seen.",
    label: `${counted(places.length, "score")}: ${
      places.slice(0, 40).map((p) => `${p.name} is nearest to ${p.nearest}`).join(", ")
    }`,
    legend: [],
    blocks: [{
      element: h(
        "g",
        {},
        block.element,
        ...names.map(({ text, x, y }) => svgText({ text, x, y, size: WORDS })),
      ),
      height,
    }],
  });
}

/** Places in pixels, one scale for both directions, as large as there is room. */
function pixelsOf(places: readonly RecipePlace[], width: number, height: number) {
  const [xs, ys] = [places.map((p) => p.x), places.map((p) => p.y)];
  const middle = (values: readonly number[]) => (Math.max(...values) + Math.min(...values)) / 2;
  const reach = (values: readonly number[]) => Math.max(1e-9, Math.max(...values) - Math.min(...values));
  const scale = Math.min((width - 2 * SIDE - LONGEST_NAME) / reach(xs), (height - 2 * SIDE) / reach(ys));
  const left = (width - LONGEST_NAME / 2) / 2;
  return places.map((p) => ({
    x: left + (p.x - middle(xs)) * scale,
    y: height / 2 - (p.y - middle(ys)) * scale,
  }));
}

/** Names to the right of their points, or to the left, where they lie on no other name and no point. */
function namesBeside(
  places: readonly RecipePlace[],
  pixels: readonly { readonly x: number; readonly y: number }[],
  width: number,
): readonly PlacedName[] {
  const taken = pixels.map(({ x, y }) => ({ from: x - DOT, to: x + DOT, top: y - DOT, bottom: y + DOT }));
  return places.flatMap(({ name }, i): readonly PlacedName[] => {
    const { x, y } = pixels[i]!;
    const text = fitText(name, WORDS, LONGEST_NAME);
    const long = textWidth(text, WORDS);
    for (const from of [x + DOT + 3, x - DOT - 3 - long]) {
      const box = { from, to: from + long, top: y - WORDS * 0.6, bottom: y + WORDS * 0.6 };
      const isFree = box.from >= 0 && box.to <= width &&
        taken.every((t) => t.from > box.to || t.to < box.from || t.top > box.bottom || t.bottom < box.top);
      if (!isFree) continue;
      taken.push(box);
      return [{ text, x: from, y: y + WORDS * 0.35 }];
    }
    return [];
  });
}

/** A dot for each score, with a line to its nearest. */
function mapMarks(places: readonly RecipePlace[], pixels: ReturnType<typeof pixelsOf>): Plot.Markish[] {
  const byName = new Map(places.map((p, i) => [p.name, pixels[i]!]));
  const links = places.flatMap((p, i) => {
    const to = byName.get(p.nearest);
    return to === undefined ? [] : [{ ...pixels[i]!, x2: to.x, y2: to.y }];
  });
  return [
    Plot.link(links, {
      ...namedMark("recipe-nearest"),
      x1: "x",
      y1: "y",
      x2: "x2",
      y2: "y2",
      stroke: "currentColor",
      strokeOpacity: 0.3,
    }),
    Plot.dot(places, {
      ...namedMark("recipe-places"),
      x: (_: RecipePlace, i: number) => pixels[i]!.x,
      y: (_: RecipePlace, i: number) => pixels[i]!.y,
      r: DOT,
      fill: hue("teal"),
      title: (p: RecipePlace) => `${p.name}; nearest is ${p.nearest}, ${p.distance.toFixed(2)} away`,
    }),
  ];
}
