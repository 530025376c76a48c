/**
 * Huron, Humdrum reference, representation `**synco`: two of its figures in 2/4, natural logarithms to two places: 0.69
 * for a note on a weaker position held over a stronger one, 1.1 for one held over a missing downbeat (confidence:
 * quoted). Our reading of them, from memory of the method: ln(1 + strength), strength as Longuet-Higgins and Lee have it.
 */
import { assertAlmostEquals } from "@std/assert";
import { metricalWeights, syncopation } from "ripieno/measures";

const ROWS: readonly (readonly [name: string, eighths: readonly number[], figure: number])[] = [
  ["eighth, quarter, eighth: the second eighth held over the second beat", [0, 1, 3], 0.69],
  ["the last eighth tied over the bar line", [2, 3], 1.1],
];

Deno.test("syncopation() gives two figures of the **synco reference, as logarithms", () => {
  for (const [name, eighths, figure] of ROWS) {
    const strength = syncopation(eighths.map((e) => 2 * e), metricalWeights(2, 4));
    assertAlmostEquals(Math.log(1 + strength), figure, 0.005, name);
  }
});
