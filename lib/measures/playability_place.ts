/** What the rules of playability share. */
import type { Instrument } from "../instruments/catalogue.ts";
import type { Ticks } from "../units.ts";
import type { PlayabilityFinding } from "./results.ts";

/** One place, before places are gathered into passages. */
export interface Place
  extends Omit<PlayabilityFinding, "fromBar" | "toBar" | "barNumber" | "beat" | "places"> {
  /** Start of the place. */
  readonly onsetTicks: Ticks;
  /** Its end. */
  readonly endTicks: Ticks;
}

/** Who is judged, and by what. */
export interface Judge {
  /** The part. */
  readonly at: { readonly part: number; readonly partName: string };
  /** Its instrument. */
  readonly instrument: Instrument;
  /** Players on the line. */
  readonly players: number;
  /** Seconds of a position. */
  readonly clock: (ticks: Ticks) => number;
  /** Constants of the measure. */
  readonly settings: {
    readonly impossibleFactor: number;
    readonly tremoloFromPerSecond: number;
    readonly breathGapSeconds: number;
    readonly restSeconds: number;
    readonly loudBrassSeconds: number;
    readonly loudFrom: number;
  };
  /** Grid of the score. */
  readonly ticksPerQuarter: Ticks;
}

/**
 * A figure as findings print it.
 *
 * @param figure any number
 * @returns rounded to tenths
 */
export function inTenths(figure: number): number {
  return Math.round(figure * 10) / 10;
}
