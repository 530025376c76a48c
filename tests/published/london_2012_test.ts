/**
 * London, Hearing in Time, 2nd ed. (2012), ch. 2, and Cognitive Constraints on Metric Systems, Music Perception 19
 * (2002) 529-550, abstracts: the shortest metrical period is 100 ms, the fastest beat 200 to 250 ms, preferred beats
 * 500 to 700 ms, the slowest beat 1500 ms (quoted). Beside it two event densities that follow
 * from their definition: sixteenths at 120 are 8 per second; quarters, eighths and sixteenths together at 60 are
 * 7 per second summed over layers, 4 as distinct onset times.
 */
import { assertAlmostEquals, assertEquals, assertGreater, assertLess } from "@std/assert";
import { balance, momentum } from "ripieno";
import { MOMENTUM_CONSTANTS, pulsePeriodSalience } from "ripieno/measures";
import { type Line, repeatedNotes, smallScore } from "../measures/small_scores.ts";

const pulse = (every: number, i = 0): Line => ({
  instrument: "violin",
  role: "pulse",
  layer: `pulse ${i}`,
  notes: repeatedNotes(67 + 3 * i, every),
});

Deno.test("sixteenths at 120 are 8 onsets per second", () => {
  const measured = momentum(smallScore([pulse(1 / 4)], { quartersPerMinute: 120 }));
  assertAlmostEquals(measured.whole.onsetsPerSecond, 8, 1e-9);
  assertEquals(measured.perLayer.map((l) => l.onsetsPerSecond), [8, 8]);
});

Deno.test("quarters, eighths and sixteenths at 60 are 7 a second summed over layers, 4 as distinct times", () => {
  const measured = momentum(smallScore([1, 1 / 2, 1 / 4].map(pulse), { quartersPerMinute: 60 }));
  assertAlmostEquals(measured.whole.onsetsPerSecond, 4, 1e-9);
  const summed = measured.perLayer.filter((l) => l.barIndex === 0).reduce(
    (sum, l) => sum + l.onsetsPerSecond,
    0,
  );
  assertAlmostEquals(summed, 7, 1e-9);
});

Deno.test("the fusion limit is London's 100 ms: plainly heard attacks rise in rate down to it and level off beyond", () => {
  assertEquals(MOMENTUM_CONSTANTS.fusionSeconds.value, 0.1);
  const rate = (seconds: number) => {
    const bar = { ...pulse(seconds), notes: repeatedNotes(67, seconds, { to: 4 }) };
    const score = smallScore([bar], { quartersPerMinute: 60, bars: 1 });
    const heard = balance(score);
    const plain = { ...heard, perLayer: heard.perLayer.map((l) => ({ ...l, partialSones: 1e9 })) };
    // In full force at the dynamic of a score without signs.
    return momentum(score, { balance: plain, constants: { halfForceDynamic: 2.5 } }).whole.attackRate;
  };
  // Values that divide a bar of four seconds and fall on whole ticks.
  for (const [slow, fast] of [[0.5, 0.25], [0.25, 0.125]] as const) {
    assertAlmostEquals(rate(slow), 1 / slow, 1e-6);
    assertAlmostEquals(rate(fast), 1 / fast, 1e-6);
    assertGreater(rate(fast), rate(slow));
  }
  // At half the limit two attacks count as one; the first of a bar has none before it.
  assertAlmostEquals(rate(1 / 16), 10, 0.2);
  assertLess(rate(1 / 24), 10.3);
});

Deno.test("a row slower than London's slowest beat, 1.5 s, is not felt as steady, and one at it is", () => {
  assertEquals(MOMENTUM_CONSTANTS.slowestPulseSeconds.value, 1.5);
  const regularity = (quartersPerMinute: number) =>
    momentum(smallScore([pulse(1)], { quartersPerMinute })).perBar[1]!.regularity;
  assertAlmostEquals(regularity(40), 1, 1e-9);
  assertEquals(regularity(39), 0);
});

Deno.test("the comfort of a pulse is highest over London's preferred beats, 0.5 to 0.7 s, and low beyond his fastest and slowest", () => {
  for (const preferred of [0.5, 0.6, 0.7]) assertGreater(pulsePeriodSalience(preferred), 0.9);
  for (const beyond of [0.1, 0.2, 1.5, 2]) assertLess(pulsePeriodSalience(beyond), 0.15);
});
