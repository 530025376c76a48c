/** What playability returns: findings and counts, as flat rows. */
import type { Constants, Settings } from "../../base/settings.ts";
import type { PlaceRow } from "../rows.ts";

/** How serious a finding is. */
export type Severity = "impossible" | "risky" | "tiring" | "note";

/** One passage of one part that a player will stumble over. */
export interface PlayabilityFinding extends PlaceRow {
  /** Part index. */
  readonly part: number;
  /** Part name. */
  readonly partName: string;
  /** How serious. */
  readonly severity: Severity;
  /**
   * Which rule: `range`, `too soft for the register`, `too loud for the register`, `repeated-note rate`,
   * `legato rate`, `trill rate`, `trill`, `wide tremolo`, `bow stroke`, `leaps`, `slide`, `breath`,
   * `loud without rest`, `loud and high without rest`, `high and loud without rest`, `playing without rest`,
   * `unmeasured tremolo, loud`, `rest in a demanding part`, `loud exposure`, `notes at once`, `stops`, `hands`,
   * `change of manner`, `way of playing`, `change of instrument`, `doubling`, `harp pedals`, `timpani retuning`,
   * `key signature`, `tempo`, `glissando`, `glissando speed`, `glissando pedals`.
   */
  readonly rule: string;
  /** What is asked, in words. */
  readonly what: string;
  /** The figure found. */
  readonly figure: number;
  /** The limit it is held against. */
  readonly limit: number;
  /** Unit of both. */
  readonly unit: string;
  /** Where the limit comes from. */
  readonly source: string;
  /** A way out. */
  readonly remedy: string;
  /** How many places the finding gathers. */
  readonly places: number;
}

/** The playability measure. */
export interface Playability {
  /** Counts per severity. */
  readonly whole: { readonly [K in Severity]: number } & { readonly notes: number };
  /** Findings per bar: one row per bar that has any. */
  readonly perBar: readonly {
    readonly barIndex: number;
    readonly severity: Severity;
    readonly findings: number;
  }[];
  /** Findings per part. */
  readonly perPart: readonly {
    readonly part: number;
    readonly partName: string;
    readonly findings: number;
  }[];
  /** The findings, most serious first. */
  readonly findings: readonly PlayabilityFinding[];
  /** What the limits are and are not. */
  readonly caution: string;
  /** Constants used. */
  readonly settings: Settings<Constants>;
}
