/** What the four measures return, on one page. Rows are flat records that go straight into a chart or a CSV. */
import type { Settings } from "../settings.ts";
import type { Constants } from "../settings.ts";
import type { Role } from "../texture/roles.ts";
import type { Decibels, Seconds, Share, Sones } from "../units.ts";

/** The three models balance can be judged by; they disagree, so all are reported. */
export type BalanceModel = "handbook" | "power" | "hearing";

/** Balance of one note (or chord) of the lead against everything else that sounds. */
export interface BalanceNote {
  /** Bar index from 0. */
  readonly bar: number;
  /** Printed bar. */
  readonly barNumber: string;
  /** Beat from 1. */
  readonly beat: number;
  /** Start in seconds. */
  readonly onsetSeconds: Seconds;
  /** Names of the leading parts, joined by " + ". */
  readonly lead: string;
  /** Top sounding pitch of the lead. */
  readonly soundingPitch: number;
  /** Handbook weight of the lead over that of the rest, in dB; positive when the lead outweighs. */
  readonly handbookDb: Decibels;
  /** Sound power of the lead over that of the rest, in dB. */
  readonly powerDb: Decibels;
  /** Loudness of the lead in the presence of the rest, in sones. */
  readonly partialSones: Sones;
  /** That loudness over the lead's loudness alone: 1 unmasked, 0 inaudible. */
  readonly audibleShare: Share;
}

/** Balance of one bar. Fields about the lead are null where nothing leads. */
export interface BalanceBar {
  /** Bar index from 0. */
  readonly bar: number;
  /** Printed bar. */
  readonly barNumber: string;
  /** Start in seconds. */
  readonly onsetSeconds: Seconds;
  /** Names of the leading parts, joined by " + "; empty where nothing leads. */
  readonly lead: string;
  /** Handbook weight difference in dB, mean over the bar's lead notes. */
  readonly handbookDb: Decibels | null;
  /** Power difference in dB, mean over the bar's lead notes. */
  readonly powerDb: Decibels | null;
  /** Audible share by the hearing model, mean over the bar's lead notes, weighted by length. */
  readonly audibleShare: Share | null;
  /** Whole loudness in sones, all parts together. */
  readonly loudnessSones: Sones;
}

/** A layer's part in the loudness of one bar. */
export interface BalanceLayer {
  /** Bar index from 0. */
  readonly bar: number;
  /** Layer id. */
  readonly layer: string;
  /** Its role. */
  readonly role: Role;
  /** Loudness of the layer in the presence of the rest, in sones, mean over the beats in which it sounds. */
  readonly partialSones: Sones;
  /** That loudness over the layer's loudness alone. */
  readonly audibleShare: Share;
  /** Its share of the partial loudness of all layers over the whole bar; a bar's shares sum to 1. */
  readonly loudnessShare: Share;
}

/** A place where the lead sinks. */
export interface BalanceWarning {
  /** First bar index. */
  readonly fromBar: number;
  /** Last bar index, inclusive. */
  readonly toBar: number;
  /** What happens, in a sentence. */
  readonly what: string;
  /** A way out, in a sentence. */
  readonly remedy: string;
}

/** The balance measure. */
export interface Balance {
  /** Means over the piece; null where nothing leads anywhere. */
  readonly whole: {
    /** Mean handbook difference in dB over the bars with a lead. */
    readonly handbookDb: Decibels | null;
    /** Mean power difference in dB over the bars with a lead. */
    readonly powerDb: Decibels | null;
    /** Mean audible share over the bars with a lead. */
    readonly audibleShare: Share | null;
    /** Share of the lead's bars whose audible share falls below `coveredBelowShare`. */
    readonly coveredShare: Share | null;
  };
  /** One row per bar. */
  readonly perBar: readonly BalanceBar[];
  /** One row per bar and layer. */
  readonly perLayer: readonly BalanceLayer[];
  /** One row per note of the lead. */
  readonly perNote: readonly BalanceNote[];
  /** Places where the lead sinks, one per passage. */
  readonly warnings: readonly BalanceWarning[];
  /** Constants used. */
  readonly settings: Settings<Constants>;
}

/** Momentum of one bar. */
export interface MomentumBar {
  /** Bar index from 0. */
  readonly bar: number;
  /** Printed bar. */
  readonly barNumber: string;
  /** Start in seconds. */
  readonly onsetSeconds: Seconds;
  /** The index: driving attacks per second. */
  readonly momentum: number;
  /** Audible attacks per second, weighted and fused. */
  readonly attackRate: number;
  /** Distinct onset times per second, unweighted. */
  readonly onsetsPerSecond: number;
  /** Pitch travel, semitones per second, mean over sounding parts; reported, not part of the index. */
  readonly pitchTravel: number;
  /** Pulse salience, 0 to 1 (Parncutt 1994). */
  readonly pulseSalience: Share;
  /** Regularity of the onsets, 0 to 1. */
  readonly regularity: Share;
  /** Syncopation, sum of strengths per bar (Longuet-Higgins & Lee 1984). */
  readonly syncopation: number;
}

/** What one layer adds to one bar. */
export interface MomentumLayer {
  /** Bar index from 0. */
  readonly bar: number;
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
  /** Momentum of the layer alone. */
  readonly alone: number;
  /** What the bar loses without it. */
  readonly takenAway: number;
}

/** The momentum measure. */
export interface Momentum {
  /** Means over the piece, weighted by the bars' seconds. */
  readonly whole: Omit<MomentumBar, "bar" | "barNumber" | "onsetSeconds">;
  /** One row per bar. */
  readonly perBar: readonly MomentumBar[];
  /** One row per bar and layer. */
  readonly perLayer: readonly MomentumLayer[];
  /** Mean contribution per role over the piece, weighted by seconds; sums to the whole's momentum. */
  readonly perRole: readonly { readonly role: Role; readonly contribution: number }[];
  /** Constants used. */
  readonly settings: Settings<Constants>;
}

/** Freshness of one bar. */
export interface FreshnessBar {
  /** Bar index from 0. */
  readonly bar: number;
  /** Printed bar. */
  readonly barNumber: string;
  /** Start in seconds. */
  readonly onsetSeconds: Seconds;
  /** Freshness, 0 to 1: 1 just after a thorough change, halving every half-life. */
  readonly freshness: Share;
  /** How much the orchestration changed at this bar line, 0 to 1. */
  readonly change: Share;
  /** Novelty of the self-similarity matrix at this bar (Foote 2000), at most 1. */
  readonly novelty: number;
  /** Bars since the last change of role, instrument or figure. */
  readonly barsSinceChange: number;
  /** Names of the leading parts. */
  readonly lead: string;
}

/** A place where the orchestration changes. */
export interface FreshnessChange {
  /** Bar index from 0. */
  readonly bar: number;
  /** Printed bar. */
  readonly barNumber: string;
  /** How much changed, 0 to 1. */
  readonly change: Share;
  /** What changed, in words. */
  readonly what: string;
}

/** How long one layer has stayed the same. */
export interface FreshnessLayer {
  /** Layer id. */
  readonly layer: string;
  /** Its role. */
  readonly role: Role;
  /** First bar index. */
  readonly fromBar: number;
  /** Last bar index, inclusive. */
  readonly toBar: number;
  /** How many bars it stays. */
  readonly bars: number;
}

/** The freshness measure. */
export interface Freshness {
  /** Means over the piece. */
  readonly whole: {
    /** Mean freshness over the bars. */
    readonly freshness: Share;
    /** Mean bars between changes. */
    readonly barsBetweenChanges: number;
    /** Longest stretch without a change, in bars. */
    readonly longestStretchBars: number;
    /** Number of distinct leads (sets of leading parts). */
    readonly distinctLeads: number;
  };
  /** One row per bar. */
  readonly perBar: readonly FreshnessBar[];
  /** One row per layer. */
  readonly perLayer: readonly FreshnessLayer[];
  /** Change points. */
  readonly changes: readonly FreshnessChange[];
  /** Similarity of every bar to every other, 0 to 1, row by row (bars × bars values). */
  readonly similarity: readonly number[];
  /** Advice in words. */
  readonly advice: readonly string[];
  /** Constants used. */
  readonly settings: Settings<Constants>;
}

/** How serious a finding is. */
export type Severity = "impossible" | "risky" | "tiring" | "note";

/** One passage of one part that a player will stumble over. */
export interface PlayabilityFinding {
  /** Part index. */
  readonly part: number;
  /** Part name. */
  readonly partName: string;
  /** First bar index. */
  readonly fromBar: number;
  /** Last bar index, inclusive. */
  readonly toBar: number;
  /** Printed bar of the first place. */
  readonly barNumber: string;
  /** Beat of the first place, from 1. */
  readonly beat: number;
  /** How serious. */
  readonly severity: Severity;
  /**
   * Which rule: `range`, `too soft for the register`, `too loud for the register`, `repeated-note rate`,
   * `legato rate`, `trill rate`, `trill`, `wide tremolo`, `bow stroke`, `leaps`, `slide`, `breath`,
   * `loud without rest`, `loud and high without rest`, `high and loud without rest`, `playing without rest`,
   * `unmeasured tremolo, loud`, `rest in a demanding part`, `loud exposure`, `notes at once`, `stops`, `hands`,
   * `change of manner`, `way of playing`, `change of instrument`, `doubling`, `harp pedals`, `timpani retuning`,
   * `key signature`.
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
    readonly bar: number;
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
  /** Mean power difference of the lead, dB. */
  readonly powerDb: Decibels | null;
  /** Mean handbook difference of the lead, dB. */
  readonly handbookDb: Decibels | null;
  /** Mean freshness. */
  readonly freshness: Share;
  /** Mean bars between changes. */
  readonly barsBetweenChanges: number;
  /** Findings called impossible. */
  readonly impossible: number;
  /** Findings called risky. */
  readonly risky: number;
  /** Findings called tiring. */
  readonly tiring: number;
}

/** The four measures of one score together. */
export interface Study {
  /** Name of the setting or score. */
  readonly name: string;
  /** Momentum. */
  readonly momentum: Momentum;
  /** Balance. */
  readonly balance: Balance;
  /** Freshness. */
  readonly freshness: Freshness;
  /** Playability. */
  readonly playability: Playability;
}
