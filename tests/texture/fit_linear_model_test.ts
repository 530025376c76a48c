/** Fitting, on problems whose answers are known beforehand. */
import { assertAlmostEquals, assertEquals, assertGreater, assertLess } from "@std/assert";
import { logShares, valuesOf } from "../../lib/texture/judge/weights.ts";
import { fitCourses, fitKinds, minimise } from "../setup/fit_linear_model.ts";

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

/** Sixty bars of three candidates, the first of them right. */
const choices = Array.from({ length: 60 }, (_, i) => ({
  rows: [[1, Math.sin(i)], [0, Math.cos(i)], [0.2, Math.sin(2 * i)]],
  lines: [0, 1, 2],
  right: 0,
}));

Deno.test("of several candidates the one with more of the telling clue is chosen, whatever the other clue says", () => {
  for (const handOverCost of [0, 1.5]) {
    const courses = choices.map((choice) => ({ choices: [choice], weight: 1 }));
    const model = fitCourses(courses, { clues: ["telling", "idle"], penalty: 1, handOverCost });
    assertGreater(model.weights[0]![0]!, 5 * Math.abs(model.weights[0]![1]!));
    assertGreater(valuesOf(model, [1, 0])[0]!, valuesOf(model, [0, 0])[0]!);
  }
});

Deno.test("where nothing costs, bars in a row are fitted as bars alone; where hand-overs cost, what goes on needs fewer clues", () => {
  const options = { clues: ["telling", "idle"], penalty: 1 };
  const alone = fitCourses(choices.map((choice) => ({ choices: [choice], weight: 1 })), options);
  const free = fitCourses([{ choices, weight: 1 }], options);
  const costly = fitCourses([{ choices, weight: 1 }], { ...options, handOverCost: 3 });
  assertAlmostEquals(free.weights[0]![0]!, alone.weights[0]![0]!, 1e-2);
  assertLess(costly.weights[0]![0]!, 0.7 * free.weights[0]![0]!);
});

Deno.test("courses of two bars and two lines are as likely as the sum over all four courses says", () => {
  // One clue, means and spreads as the fit takes them; the weight that makes the likelihood greatest, by trying.
  const bars = [
    { rows: [[1], [0]], lines: [0, 1], right: 0 },
    { rows: [[0.3], [0.6]], lines: [0, 1], right: 0 },
  ];
  const [cost, penalty] = [1, 0.1];
  const model = fitCourses([{ choices: bars, weight: 1 }], { clues: ["one"], penalty, handOverCost: cost });
  const value = (w: number, b: number, k: number) =>
    w * (bars[b]!.rows[k]![0]! - model.means[0]!) / model.spreads[0]!;
  const loss = (w: number) => {
    const course = (i: number, j: number) => Math.exp(value(w, 0, i) + value(w, 1, j) - (i === j ? 0 : cost));
    const all = course(0, 0) + course(0, 1) + course(1, 0) + course(1, 1);
    return -Math.log(course(0, 0) / all) + penalty / 2 * w * w;
  };
  const tried = Array.from({ length: 4001 }, (_, i) => i / 1000 - 2);
  const best = tried.reduce((a, b) => loss(b) < loss(a) ? b : a);
  assertAlmostEquals(model.weights[0]![0]!, best, 5e-3);
});
