/** Syncopation after Longuet-Higgins and Lee (1984). */
import { A_POSITIVE, AN_ARRAY, checkArgument } from "../../base/arguments.ts";
import { isCompound } from "../../score/time.ts";

/**
 * Metrical weights of the positions of a bar: 0 for the downbeat, one less for every level further down. A bar
 * is halved where its beats can be halved, otherwise divided by three, otherwise into its single beats; beats
 * are then halved down to the grid (thirds for compound metres).
 *
 * @param beats upper figure of the time signature
 * @param beatUnit lower figure
 * @param perWhole grid positions in a whole note, for example 16 for sixteenths
 * @returns one weight per grid position of the bar
 *
 * Source: Longuet-Higgins and Lee, The rhythmic interpretation of monophonic music, Music Perception 1 (1984)
 * 424-441.
 *
 * @example
 * ```ts
 * import { metricalWeights } from "ripieno/measures";
 * import { assertEquals } from "@std/assert";
 * assertEquals(metricalWeights(4, 4, 8), [0, -3, -2, -3, -1, -3, -2, -3]);
 * ```
 */
export function metricalWeights(beats: number, beatUnit: number, perWhole: number = 16): readonly number[] {
  checkArgument("weigh the metre", beats, A_POSITIVE, "beats");
  checkArgument("weigh the metre", beatUnit, A_POSITIVE, "the unit of a beat");
  checkArgument("weigh the metre", perWhole, A_POSITIVE, "positions");
  const positions = Math.max(1, Math.round(beats * perWhole / beatUnit));
  const weights = new Array<number>(positions).fill(NaN);
  weights[0] = 0;
  const divide = (from: number, length: number, level: number): void => {
    const unit = perWhole / beatUnit;
    const inBeats = length / unit;
    let ways = 2;
    if (inBeats > 1 && Number.isInteger(inBeats)) {
      // In compound metres the groups of three stay whole: 15/8 is five of them, not three fives.
      const groups = isCompound({ beats, beatUnit }) && inBeats > 3 ? inBeats / 3 : inBeats;
      ways = groups % 2 === 0 ? 2 : groups % 3 === 0 ? 3 : groups;
    }
    const step = length / ways;
    if (step < 1 || !Number.isInteger(step)) return;
    for (let k = 0; k < ways; k++) {
      const at = from + k * step;
      if (k > 0 && Number.isNaN(weights[at]!)) weights[at] = level;
    }
    for (let k = 0; k < ways; k++) divide(from + k * step, step, level - 1);
  };
  divide(0, positions, -1);
  const lowest = Math.min(...weights.filter((w) => !Number.isNaN(w)));
  return weights.map((w) => Number.isNaN(w) ? lowest - 1 : w);
}

/**
 * Strength of the syncopations of one bar, the bar taken as repeating: for every note that is held, or followed
 * by silence, over a position stronger than its own, the difference of the two weights.
 *
 * @param onsets grid positions where notes begin
 * @param weights weight of each position, as from {@linkcode metricalWeights}
 * @returns the sum of strengths, 0 for none
 *
 * Source: Longuet-Higgins and Lee 1984, as above.
 *
 * @example
 * ```ts
 * import { metricalWeights, syncopation } from "ripieno/measures";
 * import { assertEquals } from "@std/assert";
 * assertEquals(syncopation([0, 3, 6, 10, 12], metricalWeights(4, 4)), 4);
 * ```
 */
export function syncopation(onsets: readonly number[], weights: readonly number[]): number {
  checkArgument("count syncopation", onsets, AN_ARRAY, "onsets");
  checkArgument("count syncopation", weights, AN_ARRAY, "weights");
  const starts = [...new Set(onsets)].filter((p) => p >= 0 && p < weights.length).sort((a, b) => a - b);
  let total = 0;
  starts.forEach((at, i) => {
    const next = starts[i + 1] ?? starts[0]! + weights.length;
    let strongest = -Infinity;
    for (let p = at + 1; p < next; p++) strongest = Math.max(strongest, weights[p % weights.length]!);
    if (strongest > weights[at]!) total += strongest - weights[at]!;
  });
  return total;
}
