/** Fitzgibbon, The Story of the Flute (1914), p. 96: double and triple tonguing belong to flute and cornet. */
import { assertEquals } from "@std/assert";
import { instrumentById } from "ripieno";
import { tonguingSupport } from "ripieno/instruments";

Deno.test("Fitzgibbon p. 96: flute and cornet tongue double and triple by custom", () => {
  for (const id of ["flute", "cornet in Bb"]) {
    const support = tonguingSupport(instrumentById(id));
    assertEquals([support?.double, support?.triple], ["conventional", "conventional"], id);
  }
});
