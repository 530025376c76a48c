/** Techniques of repeating a note, as the rate chart draws them. */
import type { Instrument } from "../../instruments/catalogue.ts";
import { type RateLimit, rateLimits } from "../../instruments/rates.ts";

/** Note values that repeat, with how many fall on a quarter note. */
export const REPEATED_VALUES = {
  eighths: 2,
  triplets: 3,
  sixteenths: 4,
  sextuplets: 6,
  "thirty-seconds": 8,
} as const;

/** A note value that repeats. */
export type RepeatedValue = keyof typeof REPEATED_VALUES;

export interface Way {
  readonly instrument: Instrument;
  readonly technique: string;
  /** Notes a second that can be kept up. */
  readonly sustained: number;
  /** Notes a second in a short burst. */
  readonly burst: number;
  /** Whether any professional is expected to have it. */
  readonly conventional: boolean;
  readonly source: string;
}

/** How a technique stands to the marked rate. */
export type Verdict = "keeps up" | "for a moment" | "too slow";

/** The planning figures of repeated notes, from the slowest: every technique, or only those that decide. */
export function waysOf(instrument: Instrument, all: boolean): readonly Way[] {
  const ways = rateLimits(instrument)
    .filter((r) => r.kind === "repeated" && r.use === "planning")
    .map((r: RateLimit): Way => ({
      instrument,
      technique: r.technique,
      sustained: r.typicalPerSecond ?? r.maximumPerSecond,
      burst: r.maximumPerSecond,
      conventional: r.conventional,
      source: r.source,
    }))
    .sort((a, b) => a.burst - b.burst || a.sustained - b.sustained);
  if (all) return ways;
  return deciding(ways);
}

/**
 * Of one instrument the fastest conventional technique, and the fastest advanced one where that is faster.
 */
export function deciding(ways: readonly Way[]): readonly Way[] {
  const fastest = (conventional: boolean, above: number) =>
    ways.filter((w) => w.conventional === conventional && w.burst > above)
      .reduce<Way | undefined>((best, w) => best === undefined || w.burst > best.burst ? w : best, undefined);
  const usual = fastest(true, 0);
  return [usual, fastest(false, usual?.burst ?? 0)].filter((w) => w !== undefined);
}

/** How a technique stands to a rate. */
export function verdict(way: Way, rate: number): Verdict {
  return rate <= way.sustained ? "keeps up" : rate <= way.burst ? "for a moment" : "too slow";
}

/** The tempo at which a value comes at a rate, in quarter notes a minute, rounded down. */
export function tempoOf(perSecond: number, value: RepeatedValue): number {
  return Math.floor(perSecond * 60 / REPEATED_VALUES[value] + 1e-6);
}
