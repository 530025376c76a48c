/** What a sweep returns: one flat row per setting. */
import type { Decibels, Share } from "../../base/units.ts";
import type { SweepChoices } from "./sweep_grid.ts";

/** A measure that a sweep can take of a setting. */
export type SweepMeasure =
  | "momentum"
  | "balance"
  | "freshness"
  | "fullness"
  | "contour"
  | "idiom"
  | "playability";

export const SWEEP_MEASURES: readonly SweepMeasure[] = [
  "momentum",
  "balance",
  "freshness",
  "fullness",
  "contour",
  "idiom",
  "playability",
];

/**
 * One setting of a sweep: its choices, a column each, and what was measured. Figures are null where the setting was
 * refused, the measure was not asked for, or nothing leads.
 */
export interface SweepRow extends SweepChoices {
  /** Number of the setting in its grid, from 1. */
  readonly setting: number;
  /** Why the setting was refused, in words; null where it can be played. */
  readonly refused: string | null;
  /** Whole momentum, driving attacks per second. */
  readonly momentum: number | null;
  /** Audible attacks per second, weighted and fused. */
  readonly attackRate: number | null;
  /** Share of momentum that does not come from the lead. */
  readonly secondaryShare: Share | null;
  /** Mean audible share of the lead. */
  readonly audibleShare: Share | null;
  /** Mean power difference of the lead, dB; null where the lead is alone throughout, too. */
  readonly powerDb: Decibels | null;
  /** Mean handbook difference of the lead, dB. */
  readonly handbookDb: Decibels | null;
  /** Mean freshness. */
  readonly freshness: Share | null;
  /** Mean bars between changes; null where nothing changes, too. */
  readonly barsBetweenChanges: number | null;
  /** Mean fullness. */
  readonly fullness: Share | null;
  /** How far loudness, register and density go with the tune, from -1 to 1. */
  readonly contour: number | null;
  /** How far loudness goes, in phons. */
  readonly loudnessRange: number | null;
  /** Mean usualness of what instruments do. */
  readonly idiom: Share | null;
  /** Findings called impossible, what several parts stumble over in the same bars counted once. */
  readonly impossible: number | null;
  /** Findings called risky, counted likewise. */
  readonly risky: number | null;
  /** Findings called tiring, counted likewise. */
  readonly tiring: number | null;
}
