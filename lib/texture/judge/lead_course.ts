/** Who leads along the way: how much of the lead falls to each part where it is followed through the bars. */
import type { Evidence } from "../clues/evidence.ts";

/**
 * What switching the lead from one part to another costs, in the units of the phrase model (natural logarithms); the model
 * is fitted with it.
 */
export const HAND_OVER_COST = 1.5;

/** Least logarithm that is reckoned with. */
export const FLOOR = -6;

/** Who leads. */
export interface LeadCourse {
  /** Per cell, logarithm of the share of the lead that falls to the part in its bar, all courses of the lead considered. */
  readonly shares: Float64Array;
  /** Per bar, the part with the greatest share or -1 where none of definite pitch sounds. */
  readonly course: readonly number[];
}

/**
 * Parts that may lead in each bar: cells of definite pitch that sound, bar by bar, but for those that carry others: a bass
 * that walks moves as a tune does, and in its bars in the annotated movements people name it one time in 200.
 */
export function candidatesOf(
  { scene: { parts, sounds }, pitched, carries }: Pick<Evidence, "scene" | "pitched" | "carries">,
): readonly (readonly number[])[] {
  const bars = parts === 0 ? 0 : sounds.length / parts;
  return Array.from({ length: bars }, (_, b) => {
    const cells: number[] = [];
    for (let i = b * parts; i < (b + 1) * parts; i++) if (sounds[i] && pitched[i]) cells.push(i);
    const carried = cells.filter((i) => !carries[i]);
    return carried.length > 0 ? carried : cells;
  });
}

/**
 * How likely each part leads in each bar where every hand-over costs: the marginals of a chain over the bars, worked out
 * forwards and backwards (Rabiner, Proceedings of the IEEE 77, 1989, with his scaling).
 *
 * @param values how much each part asks to be followed, per cell
 * @param candidates cells that may lead, bar by bar
 * @param parts number of parts
 * @returns the share of each cell, 0 to 1
 */
export function sharesAlong(
  values: Float64Array,
  candidates: readonly (readonly number[])[],
  parts: number,
): Float64Array {
  const moves = Math.exp(-HAND_OVER_COST);
  const asked = new Float64Array(values.length);
  const forward = new Float64Array(values.length);
  const scales = candidates.map((cells, b) => {
    const greatest = cells.reduce((most, i) => Math.max(most, values[i]!), -Infinity);
    const isFirst = b === 0 || candidates[b - 1]!.length === 0;
    let sum = 0;
    for (const i of cells) {
      asked[i] = Math.exp(values[i]! - greatest);
      sum += forward[i] = asked[i]! * (isFirst ? 1 : moves + (1 - moves) * forward[i - parts]!);
    }
    for (const i of cells) forward[i]! /= sum;
    return sum;
  });
  const backward = new Float64Array(values.length);
  for (let b = candidates.length - 1; b >= 0; b--) {
    const after = candidates[b + 1] ?? [];
    const sum = after.reduce((all, i) => all + asked[i]! * backward[i]!, 0);
    for (const i of candidates[b]!) {
      const stays = after.length === 0 ? 0 : asked[i + parts]! * backward[i + parts]!;
      backward[i] = after.length === 0 ? 1 : (moves * sum + (1 - moves) * stays) / scales[b + 1]!;
    }
  }
  return forward.map((x, i) => x * backward[i]!);
}

/**
 * Who leads through the bars.
 *
 * @param values how much each part asks to be followed over the phrase, per cell
 * @param evidence what the notes show
 * @returns shares of the lead, and the part with the greatest in every bar
 */
export function leadCourse(values: Float64Array, evidence: Evidence): LeadCourse {
  const { parts } = evidence.scene;
  const candidates = candidatesOf(evidence);
  const shares = sharesAlong(values, candidates, parts);
  return {
    shares: shares.map((x) => Math.max(FLOOR, Math.log(x))),
    course: candidates.map((cells, b) =>
      cells.length === 0 ? -1 : cells.reduce((best, i) => shares[i]! > shares[best]! ? i : best) - b * parts
    ),
  };
}
