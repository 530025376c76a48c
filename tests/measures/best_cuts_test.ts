/** The best way to cut a row of bars, against all ways there are. */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import fc from "fast-check";
import { bestCuts, octavesApart } from "../../lib/measures/best_cuts.ts";

/** All ways to cut a row into stretches of allowed lengths, as their first bars. */
function allWays(count: number, shortest: number, longest: number): readonly (readonly number[])[] {
  const ways: number[][] = [];
  const go = (starts: readonly number[], at: number): void => {
    if (at === count) ways.push([...starts]);
    for (let length = shortest; length <= longest && at + length <= count; length++) {
      go([...starts, at], at + length);
    }
  };
  go([], 0);
  return ways;
}

Deno.test("no way to cut is worth more than the best; where there is none, the row is whole", () => {
  const lengths = fc.tuple(fc.integer({ min: 1, max: 4 }), fc.integer({ min: 0, max: 4 }));
  const turns = fc.array(fc.integer({ min: -5, max: 9 }), { minLength: 1, maxLength: 11 });
  fc.assert(
    fc.property(turns, lengths, fc.integer({ min: 1, max: 5 }), (turns, [shortest, more], usual) => {
      const [count, longest] = [turns.length, shortest + more];
      const rules = {
        shortest,
        longest,
        turnAt: (bar: number) => turns[bar]!,
        lossOf: (bars: number) => Math.abs(bars - usual),
      };
      const worthOf = (starts: readonly number[]) =>
        starts.reduce(
          (sum, start, i) =>
            sum + (i === 0 ? 0 : turns[start]!) - rules.lossOf((starts[i + 1] ?? count) - start),
          0,
        );
      const ways = allWays(count, shortest, longest);
      const found = bestCuts(count, rules);
      if (ways.length === 0) return assertEquals(found, [0]);
      assert(ways.some((way) => way.join() === found.join()), `${found} of ${count}`);
      assertEquals(worthOf(found), Math.max(...ways.map(worthOf)));
    }),
    { seed: 11, numRuns: 300 },
  );
});

Deno.test("of equal ways the one whose last stretch is longest; no bars have no stretches; octaves are squared", () => {
  const rules = { shortest: 2, longest: 3, turnAt: () => 0, lossOf: () => 0 };
  assertEquals(bestCuts(5, rules), [0, 2]);
  assertEquals([bestCuts(0, rules), bestCuts(1, rules), bestCuts(2, rules)], [[], [0], [0]]);
  assertEquals([4, 8, 16, 32, 64].map((bars) => octavesApart(bars, 16)), [4, 1, 0, 1, 4]);
  assertAlmostEquals(octavesApart(24, 16), 0.58496250072 ** 2, 1e-10);
});
