import { assert, assertEquals, assertThrows } from "@std/assert";
import { demoPlans, demoSketch, InputError, realise } from "ripieno";
import { type Chart, chartSvg, recipeChart, recipeMap } from "ripieno/show";
import { meanRecipe, recipeOf, recipePlaces } from "ripieno/survey";
import { drawn, words } from "./normalised.ts";
import { testCharts } from "./test_charts.ts";

const recipes = Object.values(demoPlans()).map((plan) =>
  recipeOf(realise(demoSketch(), plan), { name: plan.name })
);
const places = recipePlaces(recipes);

const charts: Readonly<Record<string, () => Chart>> = {
  "recipeChart()": () => recipeChart(recipes),
  "recipeMap()": () => recipeMap(places),
};

testCharts(charts);

Deno.test("recipeChart() cuts each family's bar into its roles and names what it plays most", () => {
  const chart = recipeChart([recipes[0]!]);
  const sounding = recipes[0]!.roles.length;
  assertEquals(drawn(chart, "recipe-roles"), sounding);
  for (const word of ["held chords (48\u00a0bars)", "brass", "lead", "pad"]) {
    assert(words(chart).includes(word), word);
  }
  assert(chartSvg(chart).includes("brass: pad"));
  const group = recipeChart([
    meanRecipe(recipes, { name: "all" }),
    ...Array.from({ length: 13 }, () => recipes[1]!),
  ]);
  assert(chartSvg(group).includes("all (3\u00a0scores)"));
  assert(chartSvg(group).includes("The first 12 of 14."));
});

Deno.test("recipeMap() has a point for each and a line to its nearest; far apart on it is far apart", () => {
  const chart = recipeMap(places);
  assertEquals(drawn(chart, "recipe-places"), 3);
  assertEquals(drawn(chart, "recipe-nearest"), 3);
  for (const { name } of places) assert(words(chart).includes(name), name);
  // Three points lie in a plane: their distances are the true ones.
  const [a, b] = [places[0]!, places[1]!];
  assert(Math.abs(Math.hypot(a.x - b.x, a.y - b.y) - a.distance) < 1e-6);
  // A hundred alike have one place, and a name only where there is room.
  const many = recipePlaces(Array.from({ length: 100 }, (_, i) => ({ ...recipes[0]!, name: `cue ${i}` })));
  assertEquals(new Set(many.map((p) => `${p.x} ${p.y}`)).size, 1);
  assertEquals(words(recipeMap(many)).filter((word) => word.startsWith("cue ")).length <= 2, true);
});

Deno.test("charts of recipes refuse what is none in a sentence", () => {
  assertThrows(() => recipeChart([]), InputError, "there is no recipe");
  assertThrows(() => recipeMap([]), InputError, "there are no places");
  assertThrows(() => recipePlaces([recipes[0]!]), InputError, "there are 1 of them");
});
