/** Leaving time to breathe in what blown instruments are given. */
import type { Ticks } from "../units.ts";
import type { PlainNote } from "./layers/task.ts";

/** A note with what breathing depends on. */
export interface BreathNote extends PlainNote {
  /** Seconds one breath lasts at this note's dynamic. */
  readonly breathSeconds: number;
  /** True in a melody: a breath shortens a note there, and never drops one. */
  readonly melody: boolean;
}

/** Options of {@linkcode leaveBreaths}. */
export interface BreathOptions {
  /** Where in the queue the player stands, 0 to 1: players of one layer breathe at different bar lines. */
  readonly stagger: number;
  /** Seconds needed to take a breath. */
  readonly gapSeconds: number;
  /** Seconds at a position. */
  readonly clock: (ticks: Ticks) => number;
  /** Ends of bars in ticks, in order, where breaths are taken. */
  readonly barEnds: readonly Ticks[];
  /** Ticks to a quarter note. */
  readonly ticksPerQuarter: Ticks;
}

/**
 * Share of a breath that may be used up before the next one is planned: written phrases are planned at 60 to 70 %
 * of the longest single note. Published orchestration tip, as summarised with the breath figures.
 */
const USABLE_SHARE = 0.65;

/**
 * Shortens or drops notes before bar lines so that one player's whole part can be breathed. A melody only loses
 * the end of a note of at least a quarter, which gets a breath mark; other layers lose their last eighth before the
 * bar line, or, where an eighth is too short for a breath, their last two or three. The first breath of a layer's players is spread over the bars, so that the layer as a whole goes on.
 *
 * @param line one player's notes in order, of all layers
 * @param options clock, bar ends, the player's place in the queue
 * @returns the line with breaths
 */
export function leaveBreaths<N extends BreathNote>(line: readonly N[], options: BreathOptions): readonly N[] {
  const { clock, barEnds, ticksPerQuarter } = options;
  /** An eighth, or at quick tempos as many eighths as a breath takes. */
  const gapBefore = (end: Ticks): Ticks => {
    let gap = ticksPerQuarter / 2;
    while (clock(end) - clock(end - gap) < options.gapSeconds && gap < 2 * ticksPerQuarter) {
      gap += ticksPerQuarter / 2;
    }
    return gap;
  };
  const result: N[] = [...line];
  const usableOf = (n: N) => n.breathSeconds * USABLE_SHARE;
  let breathedAt = line[0] ? clock(line[0].onsetTicks) - usableOf(line[0]) * 0.5 * options.stagger : 0;
  for (let i = 0; i < result.length; i++) {
    const n = result[i]!;
    const next = result[i + 1];
    if (!next) break;
    const end = n.onsetTicks + n.durationTicks;
    if (clock(next.onsetTicks) - clock(end) >= options.gapSeconds) {
      breathedAt = clock(next.onsetTicks);
      continue;
    }
    // The next chance is at the next note's end for a melody, at the next bar line elsewhere.
    const chance = next.melody
      ? next.onsetTicks + next.durationTicks
      : barEnds.find((b) => b > end) ?? next.onsetTicks + next.durationTicks;
    if (clock(chance) - breathedAt <= usableOf(n)) continue;
    const gapTicks = gapBefore(end);
    if (n.melody) {
      if (n.durationTicks < ticksPerQuarter) continue;
      result[i] = {
        ...n,
        durationTicks: n.durationTicks - Math.min(gapTicks, n.durationTicks / 2),
        articulations: [...new Set([...(n.articulations ?? []), "breath" as const])],
      };
      breathedAt = clock(end);
      continue;
    }
    if (!barEnds.includes(end)) continue;
    // Take the end of the bar away: shorten what reaches into it, drop what begins in it.
    let k = i;
    while (k > 0 && result[k]!.onsetTicks >= end - gapTicks) k--;
    const keep = result[k]!;
    if (keep.onsetTicks >= end - gapTicks) continue;
    result[k] = { ...keep, durationTicks: Math.min(keep.durationTicks, end - gapTicks - keep.onsetTicks) };
    result.splice(k + 1, i - k);
    i = k;
    breathedAt = clock(end);
  }
  return result;
}
