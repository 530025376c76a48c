/** What charts that hold settings and scores against each other have found, in a line. */
import { capitalised } from "../../base/words.ts";
import type { ComparisonRow } from "../../measures/compare/study_results.ts";
import type { Effects } from "../../measures/compare/effects.ts";
import type { Recipe, RecipePlace } from "../../survey/recipes/recipe_results.ts";
import type { InstrumentFamily } from "../../instruments/catalogue.ts";
import { columnWords } from "../drawing/column_words.ts";
import type { CellMean } from "../panels/cell_means.ts";
import { figure, percent } from "../drawing/words.ts";
import { quoted } from "./where_most.ts";

/** Which setting moves most, which keeps the lead clearest, which stays freshest. */
export function comparisonTitle(rows: readonly ComparisonRow[]): string {
  const [one] = rows;
  if (rows.length === 1) {
    const heard = one!.audibleShare === null ? "no lead" : `lead heard ${percent(one!.audibleShare)}`;
    return `${quoted(one!.name)}: momentum ${figure(one!.momentum)}, ${heard}, freshness ${
      figure(one!.freshness, 2)
    }`;
  }
  const said = [
    firstBy(rows, "moves most", (r) => r.momentum, (v) => figure(v)),
    firstBy(rows, "keeps its lead clearest", (r) => r.audibleShare, percent),
    firstBy(rows, "stays freshest", (r) => r.freshness, (v) => figure(v, 2)),
  ].flatMap((s) => s ?? []);
  if (said.length === 0) return "They hardly differ in motion, lead and freshness";
  const joined = [...Map.groupBy(said, (s) => s.name)].map(([name, own]) =>
    `${quoted(name)} ${own.map((s) => s.does).join(" and ")}`
  );
  return joined.join(", ");
}

/** The setting that comes first by a measure; nothing where the best and the worst hardly differ. */
function firstBy(
  rows: readonly ComparisonRow[],
  does: string,
  valueOf: (row: ComparisonRow) => number | null,
  write: (value: number) => string,
) {
  const ranked = rows.flatMap((r) => valueOf(r) === null ? [] : [{ name: r.name, value: valueOf(r)! }])
    .toSorted((a, b) => b.value - a.value);
  const [first, last] = [ranked[0], ranked.at(-1)];
  if (
    first === undefined || last === undefined || write(first.value) === write(ranked[1]?.value ?? last.value)
  ) {
    return undefined;
  }
  return { name: first.name, does: `${does} (${write(first.value)})` };
}

/** Where a measure is highest in a table of two choices. */
export function sweepTitle(cells: readonly CellMean[], of: string, write: (value: number) => string): string {
  const known = cells.flatMap((c) => c.mean === null ? [] : [{ ...c, mean: c.mean }])
    .toSorted((a, b) => b.mean - a.mean);
  const [most, least] = [known[0]!, known.at(-1)!];
  const measure = capitalised(columnWords(of));
  const place = (c: CellMean) => `${c.y}, ${c.x}`;
  if (write(most.mean) === write(least.mean)) return `${measure} is ${write(most.mean)} everywhere`;
  return `${measure} is highest for ${place(most)} (${write(most.mean)}), lowest for ${place(least)} (${
    write(least.mean)
  })`;
}

/** Which choice explains most of the differences. */
export function effectsTitle({ of, perChoice }: Effects): string {
  const [first] = perChoice.toSorted((a, b) => b.share - a.share);
  const measure = columnWords(of);
  if (first === undefined || first.share < 0.005) return `No choice matters for ${measure}`;
  return `${capitalised(measure)} hangs most on ${columnWords(first.choice)}: ${
    percent(first.share)
  } of the differences`;
}

/** Which family has most of the sound in how many of some recipes. */
export function recipeTitle(
  recipes: readonly Recipe[],
  shareOf: (recipe: Recipe, family: InstrumentFamily) => number,
  families: readonly InstrumentFamily[],
): string {
  const largest = recipes.flatMap((recipe) => {
    const [first] = families.toSorted((a, b) => shareOf(recipe, b) - shareOf(recipe, a));
    return first === undefined ? [] : [{ family: first, share: shareOf(recipe, first) }];
  });
  const [most] = [...Map.groupBy(largest, (l) => l.family)].toSorted(([, a], [, b]) => b.length - a.length);
  if (most === undefined) return "Nothing sounds";
  const [family, own] = most;
  const verb = family === "strings" ? "have" : "has";
  const name = capitalised(family);
  if (recipes.length === 1) return `${name} ${verb} most of what sounds, ${percent(own[0]!.share)}`;
  return `${name} ${verb} most of what sounds in ${
    own.length === recipes.length
      ? (recipes.length === 2 ? "both" : `all ${recipes.length}`)
      : `${own.length} of ${recipes.length}`
  }`;
}

/** Which two scores are nearest, and which stands furthest from all others. */
export function recipeMapTitle(places: readonly RecipePlace[]): string {
  const ranked = places.toSorted((a, b) => a.distance - b.distance);
  const [near, far] = [ranked[0]!, ranked.at(-1)!];
  if (places.length === 1) return `${shortName(near.name)} alone`;
  const closest = `${shortName(near.name)} and ${shortName(near.nearest)} are made most alike, ${
    figure(near.distance, 2)
  } apart`;
  return places.length === 2
    ? closest
    : `${closest}; ${shortName(far.name)} is furthest from all, ${figure(far.distance, 2)}`;
}

/** A score's name, of a path the last step. */
function shortName(name: string): string {
  return quoted(name.slice(name.lastIndexOf("/") + 1));
}
