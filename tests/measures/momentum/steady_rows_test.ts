/** Rows of attacks at every common value, as steady as they are written. */
import { assertAlmostEquals, assertEquals, assertLess } from "@std/assert";
import { type Balance, balance, momentum } from "ripieno";
import { smallScore } from "../small_scores.ts";

/**
 * Momentum of the last of four bars of attacks at these quarters, heard clearly, at a tempo. On a grid so many times as fine
 * all is so many times as short.
 */
function lastBar(at: readonly number[], quartersPerMinute: number, finer = 1) {
  const notes = at.map((quarter) => ({ at: quarter, quarters: 1 / 12, pitch: 70 }));
  const coarse = smallScore([{ instrument: "clarinet in Bb", role: "pulse", notes }], {
    bars: 4,
    beats: 12,
    quartersPerMinute,
  });
  const score = { ...coarse, ticksPerQuarter: finer * coarse.ticksPerQuarter };
  const measured = balance(score);
  const heard: Balance = {
    ...measured,
    perLayer: measured.perLayer.map((l) => ({ ...l, partialSones: 100 })),
  };
  return momentum(score, { balance: heard, layers: false }).perBar[3]!;
}

const every = (quarters: number) => Array.from({ length: Math.round(48 / quarters) }, (_, i) => i * quarters);

/** Common values in quarters, sixths of a beat to dotted whole notes. */
const VALUES = [1 / 6, 1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4, 1, 3 / 2, 2, 3, 4, 6];
/** A quarter of a second for the short ones, a second for the long ones. */
const secondsOf = (quarters: number) => Math.min(1, Math.max(0.25, quarters / 2));

Deno.test("three attacks at any common value are a row, which the third continues", () => {
  for (const quarters of VALUES) {
    const three = [47 - 2 * quarters, 47 - quarters, 47];
    const { regularity } = lastBar(three, 60 * quarters / secondsOf(quarters));
    const inBar = three.filter((at) => at >= 36).length;
    assertAlmostEquals(regularity * inBar, 1, 1e-9, `every ${quarters} quarters`);
  }
  // Fifths, and sevenths, which are none of the common values: at 30 quarters a minute 0.4 and 0.29 seconds.
  assertAlmostEquals(lastBar([45, 46, 47], 30, 5).regularity, 1 / 3, 1e-9);
  assertEquals(lastBar([45, 46, 47], 30, 7).regularity, 0);
});

Deno.test("a row at any common value is steady through", () => {
  for (const quarters of VALUES) {
    const seconds = secondsOf(quarters);
    const bar = lastBar(every(quarters), 60 * quarters / seconds);
    assertAlmostEquals(bar.regularity, 1, 1e-9, `every ${quarters} quarters`);
    assertAlmostEquals(bar.attackRate * seconds, lastBar(every(1), 60).attackRate, 1e-9);
  }
});

Deno.test("attacks at growing distances are no row", () => {
  const growing = Array.from({ length: 24 }, (_, i) => 36 + i * (i + 1) / 48);
  assertLess(lastBar(growing, 60).regularity, 0.3);
});
