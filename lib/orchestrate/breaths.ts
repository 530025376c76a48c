/** Leaving time to breathe in what blown instruments are given. */
import type { Ticks } from "../units.ts";
import type { PlainNote } from "./layers/task.ts";

/** Options of {@linkcode leaveBreaths}. */
export interface BreathOptions {
  /** Seconds the player may go on without breathing. */
  readonly breathSeconds: number;
  /** Where in the queue the player stands, 0 to 1: players of one layer breathe at different bar lines. */
  readonly stagger: number;
  /** Seconds needed to take a breath. */
  readonly gapSeconds: number;
  /** Seconds at a position. */
  readonly clock: (ticks: Ticks) => number;
  /** Starts of bars in ticks, where breaths are taken. */
  readonly barLines: readonly Ticks[];
  /** Ticks to a quarter note. */
  readonly ticksPerQuarter: Ticks;
  /** True for a melody: the breath is marked and shortens a note, never drops one. */
  readonly melody: boolean;
}

/** Share of a breath that a phrase may use up before the next one is planned; a tip for written phrases is 60 to 70 %. */
const USABLE_SHARE = 0.65;

/**
 * Shortens or drops notes before bar lines so that one player's line can be breathed. A melody only loses the
 * end of a note of at least a quarter, which gets a breath mark; other layers lose their last eighth before the
 * bar line. The first breath of a layer's players is spread over the bars, so that the layer as a whole goes on.
 *
 * @param line one player's notes in order
 * @param options breath, clock, bar lines
 * @returns the line with breaths
 */
export function leaveBreaths(line: readonly PlainNote[], options: BreathOptions): readonly PlainNote[] {
  const usable = options.breathSeconds * USABLE_SHARE;
  const gapTicks = Math.max(
    options.ticksPerQuarter / 2,
    0,
  );
  const result: PlainNote[] = [...line];
  const seconds = (n: PlainNote) => options.clock(n.onsetTicks + n.durationTicks);
  let breathedAt = line[0] ? options.clock(line[0].onsetTicks) - usable * 0.5 * options.stagger : 0;
  for (let i = 0; i < result.length; i++) {
    const n = result[i]!;
    const next = result[i + 1];
    const end = n.onsetTicks + n.durationTicks;
    if (!next || next.onsetTicks > end && options.clock(next.onsetTicks) - seconds(n) >= options.gapSeconds) {
      if (next) breathedAt = options.clock(next.onsetTicks);
      continue;
    }
    const following = options.barLines.find((b) => b > end) ?? Infinity;
    const dueBeforeNext = following !== Infinity && options.clock(following) - breathedAt > usable;
    if (!dueBeforeNext) continue;
    if (options.melody) {
      const longEnough = n.durationTicks >= options.ticksPerQuarter;
      if (!longEnough) continue;
      result[i] = {
        ...n,
        durationTicks: n.durationTicks - Math.min(gapTicks, n.durationTicks / 2),
        articulations: [...new Set([...(n.articulations ?? []), "breath" as const])],
      };
      breathedAt = options.clock(end);
      continue;
    }
    if (!options.barLines.includes(end)) continue;
    // Take the last eighth before the bar line away: shorten what reaches into it, drop what begins in it.
    let k = i;
    while (k > 0 && result[k]!.onsetTicks >= end - gapTicks) k--;
    if (result[k]!.onsetTicks >= end - gapTicks) continue;
    const keep = result[k]!;
    result[k] = { ...keep, durationTicks: Math.min(keep.durationTicks, end - gapTicks - keep.onsetTicks) };
    result.splice(k + 1, i - k);
    i = k;
    breathedAt = options.clock(end);
  }
  return result;
}
