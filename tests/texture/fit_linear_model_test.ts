/** Fitting, on problems whose answers are known beforehand. */
import { assertAlmostEquals, assertEquals, assertGreater } from "@std/assert";
import { logShares, valuesOf } from "../../lib/texture/judge/weights.ts";
import { fitChoices, fitKinds, minimise } from "../setup/fit_linear_model.ts";

Deno.test("the least value of a bowl is found at its bottom", () => {
  const found = minimise((at, gradient) => {
    gradient[0] = 2 * (at[0]! - 3);
    gradient[1] = 20 * (at[1]! + 1);
    return (at[0]! - 3) ** 2 + 10 * (at[1]! + 1) ** 2;
  }, new Float64Array(2));
  assertAlmostEquals(found[0]!, 3, 1e-3);
  assertAlmostEquals(found[1]!, -1, 1e-3);
});

Deno.test("without a useful clue the offset is the logarithm of the odds: three in four give ln 3", () => {
  const samples = Array.from({ length: 400 }, (_, i) => ({ row: [0], kind: i % 4 === 0 ? 0 : 1, weight: 1 }));
  const model = fitKinds(samples, { clues: ["none"], kinds: 2, penalty: 1 });
  assertAlmostEquals(model.offsets[0]!, Math.log(3), 2e-3);
  assertEquals(model.weights, [[0]]);
});

Deno.test("kinds told apart by a clue each are told apart", () => {
  const samples = Array.from({ length: 90 }, (_, i) => ({
    row: [0, 1, 2].map((s) => (s === i % 3 ? 1 : 0) + Math.sin(i * (s + 1)) / 5),
    kind: i % 3,
    weight: 1,
  }));
  const model = fitKinds(samples, { clues: ["a", "b", "c"], kinds: 3, penalty: 1 });
  for (const { row, kind } of samples) {
    const shares = logShares(valuesOf(model, row)).map(Math.exp);
    assertAlmostEquals(shares.reduce((a, b) => a + b), 1, 1e-9);
    assertGreater(shares[kind]!, 0.5);
  }
});

Deno.test("of several candidates the one with more of the telling clue is chosen, whatever the other clue says", () => {
  const choices = Array.from({ length: 60 }, (_, i) => ({
    rows: [[1, Math.sin(i)], [0, Math.cos(i)], [0.2, Math.sin(2 * i)]],
    right: 0,
    weight: 1,
  }));
  const model = fitChoices(choices, { clues: ["telling", "idle"], penalty: 1 });
  assertGreater(model.weights[0]![0]!, 5 * Math.abs(model.weights[0]![1]!));
  assertGreater(valuesOf(model, [1, 0])[0]!, valuesOf(model, [0, 0])[0]!);
});
