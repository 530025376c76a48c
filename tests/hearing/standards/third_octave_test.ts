import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { InputError } from "ripieno";
import { sumDecibels, thirdOctaveComponents, thirdOctaveLevels } from "ripieno/hearing";

Deno.test("thirdOctaveLevels() leaks 18.3, 37.0 and 48.7 dB down into the next three bands", () => {
  const levels = thirdOctaveLevels([1000], [60]);
  const expected = [11.3, 23, 41.7, 60, 41.7, 23, 11.3]; // third-order Butterworth (derived)
  for (const [i, level] of expected.entries()) assertAlmostEquals(levels[13 + i]!, level, 0.15);
});

Deno.test("thirdOctaveLevels() finds a band of noise again", () => {
  const flat = thirdOctaveComponents(Array(29).fill(50));
  const levels = thirdOctaveLevels(flat.frequenciesHz, flat.levelsDbSpl);
  // Between the ends: what leaks out of a band comes back from its neighbours; the filters are 5 % wider than ideal.
  for (const level of levels.slice(1, 28)) assertAlmostEquals(level, 50, 0.35);
});

Deno.test("thirdOctaveLevels() of nothing is silence, and powers add", () => {
  assertEquals([...thirdOctaveLevels([], [])], Array(28).fill(-Infinity));
  const a = thirdOctaveLevels([440], [60]), b = thirdOctaveLevels([523], [55]);
  const both = thirdOctaveLevels([440, 523], [60, 55]);
  for (let i = 0; i < 28; i++) assertAlmostEquals(both[i]!, sumDecibels([a[i]!, b[i]!]), 1e-9);
  assertThrows(() => thirdOctaveLevels([440], []), InputError);
  assertThrows(() => thirdOctaveLevels([0], [60]), InputError);
  assert(both.every((level) => !Number.isNaN(level)));
});
