import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import { demoPlans, demoSketch, InputError, realise, study } from "ripieno";
import { meanRecipe, nearestRecipes, type Recipe, recipeDistance, recipeOf } from "ripieno/survey";

const settings = Object.values(demoPlans()).map((plan) => realise(demoSketch(), plan));
const recipes = settings.map((score) => recipeOf(score));

Deno.test("shares of a recipe sum to one, and roles and figures agree on every family", () => {
  for (const { roles, figures } of recipes) {
    assertAlmostEquals(roles.reduce((sum, r) => sum + r.share, 0), 1);
    for (const [family, rows] of Map.groupBy(roles, (r) => r.family)) {
      const played = figures.filter((f) => f.family === family).reduce((sum, f) => sum + f.share, 0);
      assertAlmostEquals(rows.reduce((sum, r) => sum + r.share, 0), played);
    }
  }
});

Deno.test("a recipe of all bars is made of those of its halves", () => {
  const [score] = settings.slice(2);
  const whole = recipeOf(score!);
  const [first, last] = [recipeOf(score!, { toBarIndex: 23 }), recipeOf(score!, { fromBarIndex: 24 })];
  for (const { instrument, with: other, share } of whole.doublings) {
    const of = (r: Recipe) =>
      r.doublings.find((d) => d.instrument === instrument && d.with === other)?.share ?? 0;
    assertAlmostEquals(share, (of(first!) + of(last!)) / 2);
  }
  assertEquals(whole.leads.longestBars <= first!.leads.longestBars + last!.leads.longestBars, true);
});

Deno.test("leads and turns are those of the plan", () => {
  const [held, , rotating] = recipes;
  assertEquals(held!.leads, { changesPer100Bars: 0, medianBars: 48, longestBars: 48 });
  assertEquals(rotating!.leads.medianBars, 8);
  const share = (r: Recipe, what: string) => r.turns.find((t) => t.what === what)!.share;
  assertEquals(share(held!, "another lead"), 0);
  assert(share(rotating!, "another lead") > 0.5);
});

Deno.test("momentum and balance are told over ten stretches where they were measured", () => {
  const score = settings[1]!;
  const measured = study(score);
  const recipe = recipeOf(score, { study: measured });
  assertEquals([recipe.momentum.length, recipe.audibleShare.length], [10, 10]);
  assertEquals(recipeOf(score).momentum, []);
  const { perBar } = measured.momentum;
  assertAlmostEquals(recipe.momentum[0]!, perBar.slice(0, 5).reduce((sum, b) => sum + b.momentum, 0) / 5);
});

/** Recipes with any shares. */
const anyRecipe: fc.Arbitrary<Recipe> = fc.array(fc.nat(20), { minLength: 6, maxLength: 6 })
  .filter((counts) => counts.some((n) => n > 0))
  .map((counts): Recipe => {
    const all = counts.reduce((sum, n) => sum + n, 0);
    const places = [
      ["woodwind", "flute", "lead", "tune"],
      ["woodwind", "oboe", "pad", "held chord"],
      [
        "brass",
        "tuba",
        "bass",
        "sustained bass",
      ],
      ["strings", "violin", "pulse", "repeated eighths"],
      ["strings", "viola", "pad", "held chord"],
      [
        "strings",
        "cello",
        "bass",
        "walking bass",
      ],
    ] as const;
    const rows = places.map(([family, instrument, role, figure], i) => ({
      family,
      instrument,
      role,
      figure,
      share: counts[i]! / all,
    })).filter((row) => row.share > 0);
    return { ...recipes[0]!, roles: rows, figures: rows };
  });

Deno.test("the distance is one: symmetric, 0 for the same alone, at most 1, no detour is shorter", () => {
  fc.assert(
    fc.property(anyRecipe, anyRecipe, anyRecipe, (a, b, c) => {
      const ab = recipeDistance(a, b);
      assertAlmostEquals(ab, recipeDistance(b, a));
      assertAlmostEquals(recipeDistance(a, a), 0);
      assert(ab >= 0 && ab <= 1 + 1e-12);
      assert(recipeDistance(a, c) <= ab + recipeDistance(b, c) + 1e-9);
    }),
    { seed: 19, numRuns: 300 },
  );
});

Deno.test("nearest recipes depend on nothing but the two that are compared", () => {
  const [held, moving, rotating] = recipes.map((r, i) => ({ ...r, name: String(i) }));
  const few = nearestRecipes(held!, [moving!, held!]);
  const more = nearestRecipes(held!, [rotating!, moving!, held!]);
  assertEquals(more.find((n) => n.name === "1"), few[0]);
  assertThrows(() => nearestRecipes(held!, [moving!], { most: 0 }), InputError, "whole number from 1");
});

Deno.test("a group's recipe counts every score once, whatever order they come in", () => {
  const group = meanRecipe(recipes);
  assertEquals([group.scores, group.bars], [3, 144]);
  assertAlmostEquals(group.roles.reduce((sum, r) => sum + r.share, 0), 1);
  assertAlmostEquals(recipeDistance(group, meanRecipe(recipes.toReversed())), 0, 1e-7);
  assertAlmostEquals(recipeDistance(meanRecipe([recipes[0]!]), recipes[0]!), 0, 1e-7);
  // Groups of groups count their scores.
  const nested = meanRecipe([meanRecipe(recipes.slice(0, 2)), recipes[2]!]);
  assertAlmostEquals(recipeDistance(nested, group), 0, 1e-7);
});
