/** Where a self-similarity matrix changes block: novelty after Foote (2000). */
import { A_NUMBER, A_SWITCH, AN_ARRAY, checkArgument, checkOptions } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";

/** Options of {@linkcode novelty}. */
export interface NoveltyOptions {
  /** Half-width of the checkerboard kernel, in frames. @default {4} */
  readonly halfWidth?: number;
  /**
   * Divide by what a clean break gives, so that a clean break is 1; near the ends the kernel is narrowed to what
   * is there on both sides, so that an end is not taken for a break. @default {true}
   */
  readonly normalised?: boolean;
}

const OPTIONS = { halfWidth: A_NUMBER, normalised: A_SWITCH };

/**
 * Novelty along the diagonal of a self-similarity matrix: the matrix around each frame is multiplied by a
 * checkerboard, +1 in the quadrants before-before and after-after, -1 in the other two, and summed.
 *
 * @param similarity matrix of n × n values, row by row
 * @param options half-width, normalising
 * @returns one value per frame: how much the frame begins something new
 * @throws {InputError} when the matrix is not square
 *
 * Source: Foote, Automatic audio segmentation using a measure of audio novelty, ICME 2000 (untapered kernel).
 *
 * @example
 * ```ts
 * import { novelty } from "ripieno/measures";
 * import { assertEquals } from "@std/assert";
 * const blocks = Array.from({ length: 16 }, (_, i) =>
 *   Array.from({ length: 16 }, (_, j) => (i < 8) === (j < 8) ? 1 : 0)).flat();
 * assertEquals(novelty(blocks, { halfWidth: 2, normalised: false })[8], 8);
 * ```
 */
export function novelty(similarity: readonly number[], options: NoveltyOptions = {}): number[] {
  checkArgument("compute novelty", similarity, AN_ARRAY);
  checkOptions("compute novelty", options, OPTIONS);
  const { halfWidth = 4, normalised = true } = options;
  const n = Math.round(Math.sqrt(similarity.length));
  if (n * n !== similarity.length) {
    throw new InputError({
      action: "compute novelty",
      problem: `${similarity.length} values are no square matrix`,
      remedy: "Give n times n values, row by row",
    });
  }
  return noveltyOf(n, (row, column) => similarity[row * n + column]!, { halfWidth, normalised });
}

/**
 * The same of a matrix that is worked out value by value, since no more than a band along the diagonal is looked at.
 */
export function noveltyOf(
  n: number,
  similarity: (row: number, column: number) => number,
  { halfWidth, normalised }: Required<NoveltyOptions>,
): number[] {
  return Array.from({ length: n }, (_, centre) => {
    const width = normalised ? Math.min(halfWidth, centre, n - centre) : halfWidth;
    let sum = 0;
    for (let i = -width; i < width; i++) {
      for (let j = -width; j < width; j++) {
        const [row, column] = [centre + i, centre + j];
        if (row < 0 || column < 0 || row >= n || column >= n) continue;
        sum += ((i < 0) === (j < 0) ? 1 : -1) * similarity(row, column);
      }
    }
    return !normalised ? sum : width === 0 ? 0 : sum / (2 * width ** 2);
  });
}
