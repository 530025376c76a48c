/**
 * String sections: Gehrkens, Essentials in Conducting (1919), p. 97; the orchestration textbook chapter on
 * strings (Taylor & Francis, ISBN 9781315754932, ch. 10, abstract). Rimsky-Korsakov's three sizes from memory.
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
  assertEquals(sizes("Rimsky-Korsakov medium"), [12, 10, 8, 6, 4]); // memory
});

Deno.test("the symphony orchestra's strings lie between the medium and the large section", () => {
  const ours = orchestra().filter((part) => part.players > 1).map((part) => part.players);
  assertEquals(ours, [14, 12, 10, 8, 6]);
  ours.forEach((players, index) => {
    assertEquals(players >= sizes("Rimsky-Korsakov medium")[index]!, true);
    assertEquals(players <= sizes("large symphony")[index]!, true);
  });
});
