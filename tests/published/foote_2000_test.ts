/**
 * Foote, Automatic audio segmentation using a measure of audio novelty, ICME 2000. Kernel and correlation from
 * memory; the rows evaluated by hand (confidence: derived): a checkerboard of half-width L has 2 L² cells of
 * each sign, so a clean break gives 2 L² where the blocks have nothing in common and 4 L² where they are opposed.
 */
import { assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import { InputError } from "ripieno";
import { novelty } from "ripieno/measures";

/** Two blocks of eight frames: 1 within, `across` between them. */
function twoBlocks(across: number): readonly number[] {
  return Array.from({ length: 256 }, (_, k) => (k % 16 < 8) === (k < 128) ? 1 : across);
}

const ROWS: readonly (readonly [halfWidth: number, across: number, frame: number, sum: number])[] = [
  [1, 0, 8, 2],
  [1, -1, 8, 4],
  [1, 0, 4, 0],
  [2, 0, 8, 8],
  [2, -1, 8, 16],
  [2, 0, 4, 0],
  [4, 0, 8, 32],
  [4, -1, 8, 64],
  [4, 0, 4, 0],
];

Deno.test("novelty() of two blocks is the kernel's sum at the break and 0 inside", () => {
  for (const [halfWidth, across, frame, sum] of ROWS) {
    assertEquals(novelty(twoBlocks(across), { halfWidth, normalised: false })[frame], sum);
  }
});

Deno.test("novelty() is four frames wide to each side and normalised unless told otherwise", () => {
  assertEquals(novelty(twoBlocks(0.5)), novelty(twoBlocks(0.5), { halfWidth: 4, normalised: true }));
});

Deno.test("novelty() normalised is 1 at a clean break, 2 at an opposed one, and highest there", () => {
  for (const halfWidth of [1, 2, 4]) {
    for (const [across, height] of [[0, 1], [-1, 2]] as const) {
      const curve = novelty(twoBlocks(across), { halfWidth });
      assertEquals(curve[8], height);
      assertEquals(Math.max(...curve), height);
    }
  }
});

Deno.test("novelty() normalised of what never changes is 0 from the first frame to the last", () => {
  for (const frames of [1, 2, 3, 5, 16]) {
    const curve = novelty(new Array(frames * frames).fill(1), { halfWidth: 4 });
    assertEquals(curve, new Array(frames).fill(0));
  }
});

Deno.test("novelty() is finite, reads the same backwards, and stays within 2 for similarities of -1 to 1", () => {
  const matrix = fc.integer({ min: 1, max: 9 }).chain((n) =>
    fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: n * n, maxLength: n * n })
      .map((values) => values.map((_, k) => values[Math.min(k, (k % n) * n + Math.floor(k / n))]!))
  );
  fc.assert(
    fc.property(matrix, fc.integer({ min: 1, max: 5 }), (similarity, halfWidth) => {
      const forwards = novelty(similarity, { halfWidth });
      const backwards = novelty(similarity.toReversed(), { halfWidth });
      forwards.slice(1).forEach((v, i) => assertAlmostEquals(v, backwards[forwards.length - 1 - i]!, 1e-9));
      assertEquals(forwards.every((v) => Number.isFinite(v) && Math.abs(v) <= 2 + 1e-9), true);
    }),
    { seed: 2000, numRuns: 100 },
  );
});

Deno.test("novelty() refuses what is not square, and of nothing is nothing", () => {
  assertThrows(() => novelty([1, 2, 3]), InputError, "square");
  assertEquals(novelty([]), []);
});
