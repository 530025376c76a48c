import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import { InputError } from "ripieno";
import { shapleyShares } from "../../../lib/measures/momentum/shapley.ts";

/** Shares of a joint value. */
const shapleyValues = (...game: Parameters<typeof shapleyShares>) => shapleyShares(...game).shares;

const games = fc.integer({ min: 1, max: 6 }).chain((members) =>
  fc.record({
    members: fc.constant(members),
    values: fc.array(fc.double({ min: -10, max: 10, noNaN: true }), {
      minLength: 2 ** members,
      maxLength: 2 ** members,
    }),
  })
);

/** The definition itself: mean over all orders. */
function overAllOrders(members: number, valueOf: (mask: number) => number): number[] {
  const orders = (left: readonly number[]): number[][] =>
    left.length === 0 ? [[]] : left.flatMap((i) => orders(left.filter((j) => j !== i)).map((o) => [i, ...o]));
  const all = orders(Array.from({ length: members }, (_, i) => i));
  const shares = new Array<number>(members).fill(0);
  for (const order of all) {
    let mask = 0;
    for (const i of order) {
      shares[i]! += (valueOf(mask | 1 << i) - valueOf(mask)) / all.length;
      mask |= 1 << i;
    }
  }
  return shares;
}

Deno.test("shapleyShares() equals the mean over all orders of joining, for any game", () => {
  fc.assert(
    fc.property(games, ({ members, values }) => {
      const shares = shapleyValues(members, (mask) => values[mask]!);
      overAllOrders(members, (mask) => values[mask]!).forEach((s, i) =>
        assertAlmostEquals(shares[i]!, s, 1e-9)
      );
      const sum = shares.reduce((a, b) => a + b, 0);
      assertAlmostEquals(sum, values.at(-1)! - values[0]!, 1e-9);
    }),
    { seed: 1953, numRuns: 100 },
  );
});

Deno.test("shapleyShares() of the glove game: one left, two right gloves share 4/6, 1/6, 1/6 (Shapley 1953, worked by hand)", () => {
  const pair = (mask: number) => (mask & 1) !== 0 && (mask & 6) !== 0 ? 1 : 0;
  const [left, right, other] = shapleyValues(3, pair);
  assertAlmostEquals(left!, 4 / 6, 1e-12);
  assertAlmostEquals(right!, 1 / 6, 1e-12);
  assertAlmostEquals(other!, 1 / 6, 1e-12);
});

Deno.test("shapleyShares() sampled sum to the whole, give a null member nothing, are repeatable and near the exact ones", () => {
  const members = 14;
  // Member 0 adds nothing; the others have weights and a synergy that exact values share evenly.
  const valueOf = (mask: number) => {
    let sum = 0;
    for (let i = 1; i < members; i++) if (mask & 1 << i) sum += i;
    return sum + ((mask & 6) === 6 ? 10 : 0);
  };
  const sampled = shapleyValues(members, valueOf);
  assertEquals(sampled, shapleyValues(members, valueOf));
  assertEquals(sampled[0], 0);
  assertAlmostEquals(sampled.reduce((a, b) => a + b, 0), valueOf(2 ** members - 1), 1e-9);
  const exact = shapleyValues(members, valueOf, { exactUpTo: members });
  assertAlmostEquals(exact[1]!, 6, 1e-9);
  sampled.forEach((s, i) => assert(Math.abs(s - exact[i]!) < 1.5, `member ${i}: ${s}, exactly ${exact[i]}`));
});

Deno.test("shapleyShares() of forty members that add up gives each its own", () => {
  const addsUp = (subset: number) => {
    let sum = 0;
    for (let i = 0; i < 40; i++) if (Math.floor(subset / 2 ** i) % 2 === 1) sum += i;
    return sum;
  };
  shapleyValues(40, addsUp).forEach((share, i) => assertAlmostEquals(share, i, 1e-9));
  // All orders agree: from two on nothing is left unsure, of one nothing can be said.
  const [one, two] = [1, 2].map((samples) => shapleyShares(40, addsUp, { samples }).standardErrors);
  assertEquals([one![7], two![7]], [7, 0]);
});

Deno.test("shapleyShares() of nobody is nothing, and refuses more than 52", () => {
  assertEquals(shapleyValues(0, () => 0), []);
  assertThrows(() => shapleyValues(53, () => 0), InputError, "53");
});
