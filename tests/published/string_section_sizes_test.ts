/**
 * String sections: Gehrkens, Essentials in Conducting (1919), p. 97; the orchestration textbook chapter on
 * strings (Taylor & Francis, ISBN 9781315754932, ch. 10, abstract). Rimsky-Korsakov, Principles of Orchestration
 * (tr. Agate 1922), ch. I A: basses 8 to 10, 4 to 6, 2 to 3.
 */
import { assertEquals } from "@std/assert";
import { orchestra } from "ripieno";
import { sectionSizes } from "ripieno/instruments";

const sizes = (ensemble: string) => {
  const row = sectionSizes().find((each) => each.ensemble === ensemble)!;
  return [row.violins1, row.violins2, row.violas, row.cellos, row.doubleBasses];
};

Deno.test("string sections as the books print them", () => {
  assertEquals(sizes("about 100 players"), [18, 16, 14, 12, 10]); // Gehrkens
  assertEquals(sizes("large symphony"), [16, 14, 12, 10, 8]); // Taylor & Francis
  const table: readonly (readonly [string, readonly number[], number])[] = [
    ["full", [16, 14, 12, 10], 8],
    ["medium", [12, 10, 8, 6], 4],
    ["small", [8, 6, 4, 3], 2],
  ];
  for (const [size, upper, leastBasses] of table) {
    assertEquals(sizes(`Rimsky-Korsakov ${size}`), [...upper, leastBasses], size);
  }
});

Deno.test("the symphony orchestra's strings lie between the medium and the large section", () => {
  const ours = orchestra().filter((part) => part.players > 1).map((part) => part.players);
  assertEquals(ours, [14, 12, 10, 8, 6]);
  ours.forEach((players, index) => {
    assertEquals(players >= sizes("Rimsky-Korsakov medium")[index]!, true);
    assertEquals(players <= sizes("large symphony")[index]!, true);
  });
});
