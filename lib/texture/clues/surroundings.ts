/** A number per bar and part seen in its surroundings: among the parts that go with it, the others, and the bars around. */
import type { Companions } from "../features/overlaps.ts";

/** What the surroundings of a number are, in the order of a row. */
export const SURROUNDINGS = [
  "itself",
  "with its doublings",
  "with all in its rhythm",
  "best of its doublings",
  "over three bars",
  "with its doublings over five bars",
  "with its doublings over nine bars",
  "below the bar's best",
  "doublings below the bar's best",
  "the bar's best",
  "below the best over five bars",
] as const;

/** Which cells sound, and who goes with whom. */
export interface Scene {
  /** Number of parts. */
  readonly parts: number;
  /** For each cell, whether its part sounds. */
  readonly sounds: readonly boolean[];
  /** Who goes with whom. */
  readonly companions: Companions;
}

/** Mean over a cell and those in unison with it, and, by a weight, those in its rhythm. */
export function amongCompanions(
  values: Float64Array,
  { companions }: Scene,
  rhythmWeight: number,
): Float64Array {
  const means = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) {
    let sum = values[i]!, weight = 1;
    for (const j of companions.unison[i]!) {
      sum += values[j]!;
      weight++;
    }
    if (rhythmWeight > 0) {
      for (const j of companions.rhythm[i]!) {
        sum += rhythmWeight * values[j]!;
        weight += rhythmWeight;
      }
    }
    means[i] = sum / weight;
  }
  return means;
}

/** Greatest value among a cell and those in unison with it. */
export function bestOfDoublings(values: Float64Array, { companions }: Scene): Float64Array {
  return values.map((value, i) => {
    let best = value;
    for (const j of companions.unison[i]!) best = Math.max(best, values[j]!);
    return best;
  });
}

/** Weighted mean over the bars around in which the part sounds; weights by distance in bars. */
export function overBars(
  values: Float64Array,
  { parts, sounds }: Scene,
  weights: readonly number[],
): Float64Array {
  const means = values.slice();
  for (let i = 0; i < values.length; i++) {
    if (!sounds[i]) continue;
    let sum = values[i]! * weights[0]!, weight = weights[0]!;
    for (let d = 1; d < weights.length; d++) {
      const before = i - d * parts, after = i + d * parts;
      if (before >= 0 && sounds[before]) {
        sum += weights[d]! * values[before]!;
        weight += weights[d]!;
      }
      if (after < values.length && sounds[after]) {
        sum += weights[d]! * values[after]!;
        weight += weights[d]!;
      }
    }
    means[i] = sum / weight;
  }
  return means;
}

/** For each cell, the greatest value of its bar. */
function bestOfBar(values: Float64Array, { parts, sounds }: Scene): Float64Array {
  const best = new Float64Array(values.length);
  for (let at = 0; at < values.length; at += parts) {
    let greatest = -Infinity;
    for (let i = at; i < at + parts; i++) if (sounds[i]) greatest = Math.max(greatest, values[i]!);
    best.fill(greatest === -Infinity ? 0 : greatest, at, at + parts);
  }
  return best;
}

/**
 * A number per cell in its surroundings.
 *
 * @param values one number per cell
 * @param scene who sounds, and who goes with whom
 * @returns the columns of {@linkcode SURROUNDINGS}, one number per cell each
 */
export function surroundingsOf(values: Float64Array, scene: Scene): readonly Float64Array[] {
  const doubled = amongCompanions(values, scene, 0);
  const longer = overBars(doubled, scene, [1, 1, 0.7]);
  const longest = overBars(overBars(doubled, scene, [1, 1]), scene, [1, 1, 1, 0.5]);
  const minus = (a: Float64Array, b: Float64Array) => a.map((x, i) => x - b[i]!);
  const best = bestOfBar(doubled, scene);
  return [
    values,
    doubled,
    amongCompanions(values, scene, 0.5),
    bestOfDoublings(values, scene),
    overBars(values, scene, [1, 1]),
    longer,
    longest,
    minus(values, bestOfBar(values, scene)),
    minus(doubled, best),
    best,
    minus(longer, bestOfBar(longer, scene)),
  ];
}
