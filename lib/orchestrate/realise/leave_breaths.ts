/** Leaving time to breathe in what blown instruments are given. */
import type { Ticks } from "../../base/units.ts";
import type { PlainNote } from "./layers/task.ts";

/** A melody does not breathe before this share of the usable breath is gone. Model assumption. */
const EARLIEST_SHARE = 0.4;

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
  readonly gapSeconds: number;
  /** Seconds at a position. */
  readonly clock: (ticks: Ticks) => number;
  /** Ends of bars in ticks, in order, where breaths are taken. */
  readonly barEnds: readonly Ticks[];
  readonly ticksPerQuarter: Ticks;
}

/**
 * Share of a breath that may be used up before the next one is planned: written phrases are planned at 60 to 70 %
 * of the longest single note. Published orchestration tip, as summarised with the breath figures.
 */
const USABLE_SHARE = 0.65;

/**
 * Shortens or drops notes before bar lines so that one player's whole part can be breathed. A melody only loses the
 * end of the longest note of the phrase, a quarter at least, which gets a breath mark; other layers lose their last
 * eighth before the bar line, or, where an eighth is too short for a breath, their last two or three. Who goes over
 * to the melody breathes before it, unless that was done a moment ago. The first breath of a layer's players is
 * spread over the bars, so that the layer as a whole goes on.
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
    // Who takes up the tune breathes before it rather than in its first bar.
    const takesUp = !n.melody && next.melody && clock(end) - breathedAt > usableOf(n) * EARLIEST_SHARE;
    if (!takesUp && clock(chance) - breathedAt <= usableOf(n)) continue;
    if (n.melody) {
      const place = phraseEnd(
        result.slice(0, i + 1),
        (m) => clock(m.onsetTicks + m.durationTicks) - breathedAt,
        {
          shortestTicks: ticksPerQuarter,
          earliestSeconds: usableOf(n) * EARLIEST_SHARE,
          barEnds,
        },
      );
      if (place === undefined) continue;
      const breathing = result[place]!;
      const breathEnd = breathing.onsetTicks + breathing.durationTicks;
      result[place] = {
        ...breathing,
        durationTicks: breathing.durationTicks - Math.min(gapBefore(breathEnd), breathing.durationTicks / 2),
        articulations: [...new Set([...(breathing.articulations ?? []), "breath" as const])],
      };
      breathedAt = clock(breathEnd);
      i = place;
      continue;
    }
    const gapTicks = gapBefore(end);
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

/**
 * Where a melody breathes: after its longest note since the last breath, a note that ends a bar before others, the
 * latest of equals.
 */
function phraseEnd(
  line: readonly BreathNote[],
  secondsSinceBreath: (n: BreathNote) => number,
  limits: {
    readonly shortestTicks: Ticks;
    readonly earliestSeconds: number;
    readonly barEnds: readonly Ticks[];
  },
): number | undefined {
  let best: number | undefined;
  const worth = (n: BreathNote) =>
    n.durationTicks +
    (limits.barEnds.includes(n.onsetTicks + n.durationTicks) ? limits.shortestTicks / 2 : 0);
  for (let k = line.length - 1; k >= 0; k--) {
    const n = line[k]!;
    if (!n.melody || secondsSinceBreath(n) < limits.earliestSeconds) break;
    if (n.durationTicks < limits.shortestTicks) continue;
    if (best === undefined || worth(n) > worth(line[best]!)) best = k;
  }
  return best;
}
