/** What momentum returns: flat rows that go straight into a chart or a table. */
import type { Constants, Settings } from "../../base/settings.ts";
import type { Share } from "../../base/units.ts";
import type { Role } from "../../texture/roles.ts";
import type { BarRow, TimedBarRow } from "../rows.ts";

/** Momentum of one bar. */
export interface MomentumBar extends TimedBarRow {
  /** The index: driving attacks per second. */
  readonly momentum: number;
  /** Audible attacks per second, weighted and fused. */
  readonly attackRate: number;
  /** Distinct onset times per second, unweighted. */
  readonly onsetsPerSecond: number;
  /** Pitch travel, semitones per second, mean over sounding parts; reported, not part of the index. */
  readonly pitchTravel: number;
  /** Share of the attacks that carry a comfortable pulse, 0 to 1 (Parncutt 1994). */
  readonly pulseSalience: Share;
  /** Share of the attacks that continue a steady row, 0 to 1. */
  readonly regularity: Share;
  /** Share of the attacks that are held over a stronger position, by strength, 0 to 1. */
  readonly syncopatedShare: Share;
  /** Syncopation as written, sum of strengths per bar (Longuet-Higgins & Lee 1984). */
  readonly syncopation: number;
}

/** What one layer adds to one bar. */
export interface MomentumLayer {
  /** Bar index from 0. */
  readonly barIndex: number;
  /** Layer id. */
  readonly layer: string;
  /** Its role. */
  readonly role: Role;
  /** How clearly it is heard, 0 to 1: what its attacks are weighted by. */
  readonly audibility: Share;
  /** Its own attacks per second, before weighting. */
  readonly onsetsPerSecond: number;
  /** Shapley value: its share of the bar's momentum; a bar's values sum to the bar's momentum. */
  readonly contribution: number;
  /** Standard error of the contribution: 0 where it is exact, that is for up to 12 layers in a bar. */
  readonly contributionError: number;
  /** Momentum of the layer alone. */
  readonly alone: number;
  /** What the bar loses without it. */
  readonly takenAway: number;
}

/** The momentum measure. */
export interface Momentum {
  /** Means over the piece, weighted by the bars' seconds. */
  readonly whole: Omit<MomentumBar, "barIndex" | "bar" | "onsetSeconds">;
  /** One row per bar. */
  readonly perBar: readonly MomentumBar[];
  /** One row per bar and layer. */
  readonly perLayer: readonly MomentumLayer[];
  /** Mean contribution per role over the piece, weighted by seconds; sums to the whole's momentum. */
  readonly perRole: readonly { readonly role: Role; readonly contribution: number }[];
  /** Constants used. */
  readonly settings: Settings<Constants>;
}

/** Between whom momentum is shared out. */
export type SharedBy = "layer" | "role" | "family" | "part";

/** What one member adds to momentum over the piece. */
export interface AttributionRow {
  /** Layer id, role, instrument family or part name. */
  readonly name: string;
  /** Its role, where layers or roles share. */
  readonly role?: Role;
  /** Shapley value, mean over the piece weighted by seconds; the rows sum to the whole's momentum. */
  readonly contribution: number;
  /** Its standard error: 0 where all bars were worked out exactly. */
  readonly contributionError: number;
  /** Its contribution over the whole. */
  readonly share: Share;
  /** Momentum of the member alone. */
  readonly alone: number;
  /** What is lost without it. */
  readonly takenAway: number;
}

/** What one member adds to one bar. */
export interface AttributionBar extends Omit<AttributionRow, "share" | "role">, BarRow {
}

/** Momentum shared out. */
export interface Attribution {
  /** Between whom. */
  readonly by: SharedBy;
  /** What is shared out. */
  readonly whole: Pick<MomentumBar, "momentum">;
  /** One row per member, the largest contribution first. */
  readonly rows: readonly AttributionRow[];
  /** One row per bar and member. */
  readonly perBar: readonly AttributionBar[];
  /** Constants used. */
  readonly settings: Settings<Constants>;
}
