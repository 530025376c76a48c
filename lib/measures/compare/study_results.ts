/** The measures of one score together, and settings side by side. */
import type { Decibels, Share } from "../../base/units.ts";
import type { Balance } from "../balance/balance_results.ts";
import type { Contour } from "../contour/contour_results.ts";
import type { Freshness } from "../freshness/freshness_results.ts";
import type { Fullness } from "../fullness/fullness_results.ts";
import type { Idiom } from "../idiom/idiom_results.ts";
import type { Momentum } from "../momentum/momentum_results.ts";
import type { Playability } from "../playability/playability_results.ts";

/** One setting side by side with others. */
export interface ComparisonRow {
  /** Name of the setting. */
  readonly name: string;
  /** Whole momentum, driving attacks per second. */
  readonly momentum: number;
  /** Share of momentum that does not come from the lead. */
  readonly secondaryShare: Share;
  /** Mean audible share of the lead. */
  readonly audibleShare: Share | null;
  /** Mean power difference of the lead, dB; null where the lead is alone throughout, or nothing leads. */
  readonly powerDb: Decibels | null;
  /** Mean handbook difference of the lead, dB; null likewise. */
  readonly handbookDb: Decibels | null;
  /** Mean freshness. */
  readonly freshness: Share;
  /** Mean bars between changes; null where nothing changes. */
  readonly barsBetweenChanges: number | null;
  /** Mean fullness: how complete and well spaced the chord beside the lead is. */
  readonly fullness: Share;
  /** How far loudness, register and density go with the tune, from -1 to 1; null where all are level or nothing leads. */
  readonly contour: number | null;
  /** How far loudness goes, in phons. */
  readonly loudnessRange: number;
  /** Mean usualness of what instruments do; null where it was left out, or nothing was counted of them. */
  readonly idiom: Share | null;
  /** Findings called impossible. */
  readonly impossible: number;
  /** Findings called risky. */
  readonly risky: number;
  /** Findings called tiring. */
  readonly tiring: number;
}

/** The measures of one score together. */
export interface Study {
  /** Name of the setting or score. */
  readonly name: string;
  /** Momentum. */
  readonly momentum: Momentum;
  /** Balance. */
  readonly balance: Balance;
  /** Freshness. */
  readonly freshness: Freshness;
  /** Fullness. */
  readonly fullness: Fullness;
  /** Contour, against the tune. */
  readonly contour: Contour;
  /** Idiom; null where it was left out. */
  readonly idiom: Idiom | null;
  /** Playability. */
  readonly playability: Playability;
}
