import { assertAlmostEquals, assertEquals } from "@std/assert";
import { kendall, ranksOf, spearman } from "../../lib/measures/rank_correlation.ts";

Deno.test("equal values share the mean of their ranks", () => {
  assertEquals(ranksOf([10, 20, 20, 5]), [2, 3.5, 3.5, 1]);
  assertEquals(ranksOf([7, 7, 7]), [2, 2, 2]);
});

Deno.test("Spearman's coefficient is 1 less six times the squared differences of ranks over n(n² − 1), where no values are equal", () => {
  assertAlmostEquals(spearman([1, 2, 3, 4], [20, 10, 40, 30])!, 1 - 6 * 4 / (4 * 15));
  assertAlmostEquals(spearman([1, 2, 3, 4], [4, 3, 2, 1])!, -1);
  assertEquals(spearman([1, 1], [1, 2]), null);
});

Deno.test("Kendall's tau-b leaves pairs that are equal in one list out of its count", () => {
  assertAlmostEquals(kendall([1, 2, 3], [1, 3, 2])!, 1 / 3);
  assertAlmostEquals(kendall([1, 1, 2], [1, 2, 3])!, 2 / Math.sqrt(2 * 3));
  assertAlmostEquals(kendall([1, 2, 3], [6, 5, 4])!, -1);
  assertEquals(kendall([1, 2], [3, 3]), null);
});
