/** Naming the fewest wishes that cannot be had together. */
import { assert, assertEquals } from "@std/assert";
import fc from "fast-check";
import { conflictOf, type Must } from "../../../lib/orchestrate/search/conflict_of.ts";

/** A wish that allows some of ten scorings of the one passage. */
function must(words: string, allowed: readonly number[]): Must {
  return { words, allows: (_, scoring) => allowed.includes(scoring), limits: [] };
}

const isPossible = (musts: readonly Must[]) =>
  Array.from({ length: 10 }, (_, k) => k).some((k) => musts.every((m) => m.allows(0, k)));

Deno.test("the fewest wishes against each other are named, and no more", () => {
  const musts = [must("a", [1, 2, 3]), must("b", [3, 4]), must("c", [4, 5]), must("d", [1, 3])];
  assertEquals(conflictOf(musts, isPossible).map((m) => m.words), ["a", "c"]);
  assertEquals(conflictOf(musts.slice(0, 2), isPossible), []);
  assertEquals(conflictOf([...musts, must("e", [])], isPossible).map((m) => m.words), ["e"]);
});

Deno.test("whatever the wishes, what is named is impossible, and possible without any one of it", () => {
  const allowed = fc.array(fc.uniqueArray(fc.integer({ min: 0, max: 9 }), { minLength: 3 }), {
    maxLength: 8,
  });
  fc.assert(
    fc.property(allowed, (sets) => {
      const musts = sets.map((own, i) => must(String(i), own));
      const conflict = conflictOf(musts, isPossible);
      if (isPossible(musts)) return assertEquals(conflict, []);
      assert(!isPossible(conflict));
      for (const one of conflict) assert(isPossible(conflict.filter((m) => m !== one)));
    }),
    { numRuns: 300, seed: 3 },
  );
});
