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

interface BreathOptions {
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
  const { clock, barEnds, gapSeconds, stagger } = options;
  const result: N[] = [...line];
  let breathedAt = line[0] ? clock(line[0].onsetTicks) - usableOf(line[0]) * 0.5 * stagger : 0;
  for (let i = 0; i + 1 < result.length; i++) {
    const [n, next] = [result[i]!, result[i + 1]!];
    const end = endOf(n);
    if (clock(next.onsetTicks) - clock(end) >= gapSeconds) {
      breathedAt = clock(next.onsetTicks);
      continue;
    }
    // The next chance is at the next note's end for a melody, at the next bar line elsewhere.
    const chance = next.melody ? endOf(next) : barEnds.find((b) => b > end) ?? endOf(next);
    // Who takes up the tune breathes before it rather than in its first bar.
    const takesUp = !n.melody && next.melody && clock(end) - breathedAt > usableOf(n) * EARLIEST_SHARE;
    if (!takesUp && clock(chance) - breathedAt <= usableOf(n)) continue;
    const place = n.melody
      ? breatheInMelody(result, i, { ...options, breathedAt })
      : breatheAtBarLine(result, i, options);
    if (place === undefined) continue;
    breathedAt = clock(place.endTicks);
    i = place.index;
  }
  return result;
}

/** Where a breath was made room for: the index of the note before it, and where that ended. */
interface BreathPlace {
  readonly index: number;
  readonly endTicks: Ticks;
}

const usableOf = (n: BreathNote) => n.breathSeconds * USABLE_SHARE;
const endOf = (n: BreathNote): Ticks => n.onsetTicks + n.durationTicks;

/** Ticks of a breath before a position: an eighth, or at quick tempos as many eighths as a breath takes. */
function gapBefore(end: Ticks, { clock, ticksPerQuarter, gapSeconds }: BreathOptions): Ticks {
  let gap = ticksPerQuarter / 2;
  while (clock(end) - clock(end - gap) < gapSeconds && gap < 2 * ticksPerQuarter) gap += ticksPerQuarter / 2;
  return gap;
}

/** Takes time from the end of a phrase that leads up to a note, and marks the breath; undefined where there is none. */
function breatheInMelody<N extends BreathNote>(
  line: N[],
  index: number,
  options: BreathOptions & { readonly breathedAt: number },
): BreathPlace | undefined {
  const { clock, breathedAt, ticksPerQuarter, barEnds } = options;
  const place = phraseEnd(line.slice(0, index + 1), (n) => clock(endOf(n)) - breathedAt, {
    shortestTicks: ticksPerQuarter,
    earliestSeconds: usableOf(line[index]!) * EARLIEST_SHARE,
    barEnds,
  });
  if (place === undefined) return undefined;
  const note = line[place]!;
  line[place] = {
    ...note,
    durationTicks: note.durationTicks - Math.min(gapBefore(endOf(note), options), note.durationTicks / 2),
    articulations: [...new Set([...(note.articulations ?? []), "breath" as const])],
  };
  return { index: place, endTicks: endOf(note) };
}

/** Takes the end of a bar away: shortens what reaches into it, drops what begins in it; undefined where that cannot be. */
function breatheAtBarLine<N extends BreathNote>(
  line: N[],
  index: number,
  options: BreathOptions,
): BreathPlace | undefined {
  const end = endOf(line[index]!);
  if (!options.barEnds.includes(end)) return undefined;
  const from = end - gapBefore(end, options);
  const kept = line.slice(0, index + 1).findLastIndex((n) => n.onsetTicks < from);
  if (kept < 0) return undefined;
  const note = line[kept]!;
  line[kept] = { ...note, durationTicks: Math.min(note.durationTicks, from - note.onsetTicks) };
  line.splice(kept + 1, index - kept);
  return { index: kept, endTicks: end };
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
