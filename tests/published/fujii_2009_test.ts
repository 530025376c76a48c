/**
 * Fujii et al. 2009, Neuroscience Letters 459, 69-73: one hand taps 5 to 7 times a second, a world-record
 * drummer 10.
 */
import { assert, assertEquals } from "@std/assert";
import { allInstruments, instrumentById } from "ripieno";
import { rateLimits, repeatedNoteLimit } from "ripieno/instruments";

Deno.test("Fujii 2009: one hand 5 to 7 strokes a second, two hands twice that, a record of 10", () => {
  const rate = (technique: string) =>
    rateLimits(instrumentById("bongos")).find((limit) => limit.technique === technique);
  assertEquals([rate("one hand")?.typicalPerSecond, rate("one hand")?.maximumPerSecond], [5, 7]);
  assertEquals([rate("one hand, record")?.maximumPerSecond, rate("one hand, record")?.use], [10, "anchor"]);
  assertEquals(rate("two hands")?.maximumPerSecond, 14);
});

Deno.test("Fujii 2009: no percussion is planned to repeat a note faster than two hands can", () => {
  for (const instrument of allInstruments().filter((each) => each.family === "percussion")) {
    assert(repeatedNoteLimit(instrument)!.burstPerSecond <= 14, instrument.id);
  }
});
