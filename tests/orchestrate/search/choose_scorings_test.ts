/** The solver's choice against full enumeration, on generated cases small enough for it. */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import fc from "fast-check";
import { type ScoringChoice, scoringChooser } from "../../../lib/orchestrate/search/choose_scorings.ts";

const choose = await scoringChooser();

/** All choices of one scoring for each passage. */
function allChoices(costs: ScoringChoice["costs"]): readonly (readonly number[])[] {
  return costs.reduce<number[][]>((found, own) => found.flatMap((c) => own.map((_, k) => [...c, k])), [[]]);
}

function costOf({ costs, after }: ScoringChoice, chosen: readonly number[]): number {
  return chosen.reduce(
    (sum, k, p) => sum + (costs[p]![k] ?? Infinity) + (p > 0 ? after?.(p - 1, chosen[p - 1]!, k) ?? 0 : 0),
    0,
  );
}

function isAllowed({ limits }: ScoringChoice, chosen: readonly number[]): boolean {
  return limits.every(({ adds, atLeast = -Infinity, atMost = Infinity }) => {
    const sum = chosen.reduce((all, k, p) => all + adds[p]![k]!, 0);
    return sum >= atLeast - 1e-9 && sum <= atMost + 1e-9;
  });
}

const COSTS = fc.array(
  fc.array(fc.oneof({ weight: 6, arbitrary: fc.integer({ min: 0, max: 20 }) }, fc.constant(null)), {
    minLength: 1,
    maxLength: 4,
  }),
  { minLength: 1, maxLength: 5 },
);

Deno.test("the choice is as cheap as the cheapest of all choices within the limits, and there is none only where there is none", () => {
  fc.assert(
    fc.property(
      COSTS,
      fc.integer({ min: 1, max: 1e6 }),
      fc.integer({ min: 0, max: 6 }),
      (costs, seed, most) => {
        const mixed = (...of: readonly number[]) =>
          of.reduce((a, b) => (a * 31 + b * 17 + seed) % 97, seed) % 10;
        const choice: ScoringChoice = {
          costs,
          after: (p, a, b) => mixed(p, a, b),
          limits: [
            { adds: costs.map((own, p) => own.map((_, k) => mixed(p, k) % 3)), atMost: most },
            { adds: costs.map((own, p) => own.map((_, k) => mixed(k, p) % 2)), atLeast: 1 },
          ],
        };
        const possible = allChoices(costs).filter((c) =>
          isAllowed(choice, c) && costOf(choice, c) < Infinity
        );
        const chosen = choose(choice);
        if (possible.length === 0) return assertEquals(chosen, undefined);
        assert(chosen && isAllowed(choice, chosen));
        assertAlmostEquals(costOf(choice, chosen), Math.min(...possible.map((c) => costOf(choice, c))), 1e-6);
      },
    ),
    { numRuns: 200, seed: 11 },
  );
});
