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
  /** Loudness of the lead in the presence of the rest, in sones: mean over the note, two ears, doublings aside. */
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
  /**
   * Loudness of the layer in the presence of all others, in sones, mean over the beats in which it sounds. Unlike in the
   * lead's notes, doublings count as others and nothing is given for two ears: how much of the sound is its own.
   */
  readonly partialSones: Sones;
  /** That loudness over the layer's loudness alone. */
  readonly audibleShare: Share;
  /** Its share of the partial loudness of all layers over the whole bar; a bar's shares sum to 1. */
  readonly loudnessShare: Share;
}

/** What a warning about sound is about. */
export type BalanceWarningKind = "lead covered" | "low interval" | "rough";

/** A place where something in the sound should be looked at. */
export interface BalanceWarning {
  /** What it is about. */
  readonly kind: BalanceWarningKind;
  /** First bar index. */
  readonly fromBar: number;
  /** Last bar index, inclusive. */
  readonly toBar: number;
  /** Printed first bar. */
  readonly barNumber: string;
  /** Beat of the first place, from 1. */
  readonly beat: number;
  /** What happens, in a sentence. */
  readonly what: string;
  /** A way out, in a sentence. */
  readonly remedy: string;
  /** The figure found. */
  readonly figure: number;
  /** The limit it is held against. */
  readonly limit: number;
  /** Unit of both. */
  readonly unit: string;
  /** For a covered lead, where they were worked out: ways out with what each gives, the best first. */
  readonly remedies?: readonly Remedy[];
}

/** A change to the parts, as plain data; parts by name. */
export type RemedyChange =
  | {
    /** Move what the parts play by octaves. */
    readonly kind: "octave";
    /** Names of the parts. */
    readonly parts: readonly string[];
    /** Octaves up or down. */
    readonly octaves: number;
  }
  | {
    /** Play at another dynamic. */
    readonly kind: "dynamic";
    /** Names of the parts. */
    readonly parts: readonly string[];
    /** Steps of the dynamic scale, up or down; held at ppp and fff. */
    readonly steps: number;
  }
  | {
    /** Let a resting part double another. */
    readonly kind: "double";
    /** Name of the part that doubles. */
    readonly part: string;
    /** Name of the part that is doubled. */
    readonly of: string;
    /** Octaves up or down from it. */
    readonly octaves: number;
  }
  | {
    /** Leave parts out. */
    readonly kind: "rest";
    /** Names of the parts. */
    readonly parts: readonly string[];
  };

/** A way out, with what the measure says after it. */
export interface Remedy {
  /** The change in a few words; where two go together, both. */
  readonly what: string;
  /** The change as data, in the order in which it is made. */
  readonly changes: readonly RemedyChange[];
  /** Audible share of the lead over the passage after the change. */
  readonly audibleShare: Share;
  /** How much that is more than before. */
  readonly gainedShare: number;
  /** Handbook difference after the change, in dB. */
  readonly handbookDb: Decibels;
  /** Power difference after the change, in dB. */
  readonly powerDb: Decibels;
  /** Whether it asks nothing impossible or risky of the players that was not asked before. */
  readonly playable: boolean;
  /** What it would ask of them, where it is not; otherwise empty. */
  readonly caution: string;
}

/** How much one layer covers another. */
export interface MaskingRow {
  /** Layer that is covered. */
  readonly masked: string;
  /** Its role. */
  readonly maskedRole: Role;
  /** Its parts in words. */
  readonly maskedParts: string;
  /** Layer that covers it. */
  readonly masker: string;
  /** Its role. */
  readonly maskerRole: Role;
  /** Its parts in words. */
  readonly maskerParts: string;
  /** Share of the masked layer's loudness that goes when only the other sounds with it: 0 nothing, 1 all. */
  readonly lostShare: Share;
  /** Loudness of the masked layer alone in the beats they share, in sones, mean. */
  readonly aloneSones: Sones;
  /** What is left of it beside the other, in sones, mean. */
  readonly partialSones: Sones;
  /** Beats in which both sound. */
  readonly beats: number;
}

/** A layer in one moment. */
export interface MomentSoundLayer {
  /** Layer id. */
  readonly layer: string;
  /** Its role. */
  readonly role: Role;
  /** Its parts that sound, in words. */
  readonly parts: string;
  /** Loudness alone, in sones. */
  readonly aloneSones: Sones;
  /** Loudness beside the others, in sones. */
  readonly partialSones: Sones;
  /** The latter over the former. */
  readonly audibleShare: Share;
}

/** One layer at one place of the inner ear. */
export interface MomentBand {
  /** Layer id. */
  readonly layer: string;
  /** Its role. */
  readonly role: Role;
  /** Place on the ERB-number scale, in Cam. */
  readonly cam: number;
  /** Frequency that belongs to it, in Hz. */
  readonly hz: number;
  /** Excitation level in dB, relative to that of a 1 kHz tone at 0 dB. */
  readonly levelDb: Decibels;
  /** Specific loudness alone, in sones per Cam. */
  readonly aloneSonesPerCam: number;
  /** Specific loudness beside the other layers, in sones per Cam. */
  readonly heardSonesPerCam: number;
}

/** One moment as the ear has it. */
export interface MomentSound {
  /** Bar index from 0. */
  readonly bar: number;
  /** Printed bar. */
  readonly barNumber: string;
  /** Beat from 1. */
  readonly beat: number;
  /** Start in seconds. */
  readonly onsetSeconds: Seconds;
  /** Loudness of everything together, in sones. */
  readonly wholeSones: Sones;
  /** The layers, the loudest first. */
  readonly layers: readonly MomentSoundLayer[];
  /** A row for each layer and filter, from low to high. */
  readonly bands: readonly MomentBand[];
}

/** Two notes that stand closer than their depth allows. */
export interface LowInterval {
  /** First bar index. */
  readonly fromBar: number;
  /** Last bar index, inclusive. */
  readonly toBar: number;
  /** Printed bar of the first place. */
  readonly barNumber: string;
  /** Beat of the first place, from 1. */
  readonly beat: number;
  /** Part with the lower note. */
  readonly lowerPart: string;
  /** Part with the upper note. */
  readonly upperPart: string;
  /** Lower sounding pitch of the deepest place. */
  readonly lowerPitch: number;
  /** Upper sounding pitch there. */
  readonly upperPitch: number;
  /** Size of the interval there. */
  readonly semitones: number;
  /** The interval in words, for example `minor third C#2–E2`. */
  readonly interval: string;
  /** Lowest pitch at which the table allows the interval's lower note. */
  readonly limitPitch: number;
  /** How far below the limit it lies there, in semitones. */
  readonly below: number;
  /** How long the two stand like this in all, in seconds. */
  readonly seconds: Seconds;
  /** How many places the row gathers. */
  readonly places: number;
}

/** Roughness of one bar. */
export interface RoughBar {
  /** Bar index from 0. */
  readonly bar: number;
  /** Printed bar. */
  readonly barNumber: string;
  /** Start in seconds. */
  readonly onsetSeconds: Seconds;
  /** Mean roughness of the moments that sound; null in silence. */
  readonly roughness: number | null;
  /** Roughness of the roughest moment; null in silence. */
  readonly peak: number | null;
  /** Beat of that moment, from 1; null in silence. */
  readonly peakBeat: number | null;
}

/** How well the parts of one layer fuse. */
export interface BlendRow {
  /** Layer id. */
  readonly layer: string;
  /** Its role. */
  readonly role: Role;
  /** Its parts in words. */
  readonly parts: string;
  /** First bar index. */
  readonly fromBar: number;
  /** Last bar index, inclusive. */
  readonly toBar: number;
  /** Mean spectral centroid of the parts, weighted by power, in Hz. */
  readonly centroidHz: number;
  /** Standard deviation of the parts' centroids, in Cam: small where their colours are alike. */
  readonly centroidSpreadCam: number;
  /** Part with the brightest sound. */
  readonly brightest: string;
  /** Part with the darkest sound. */
  readonly darkest: string;
  /** Share of the parts' onsets that coincide with one of another part, 0 to 1. */
  readonly onsetSynchrony: Share;
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
  /** Places where the lead sinks, one per passage; `soundWarnings` adds ways out with figures, low and rough places. */
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
export interface AttributionBar extends Omit<AttributionRow, "share" | "role"> {
  /** Bar index from 0. */
  readonly bar: number;
  /** Printed bar. */
  readonly barNumber: string;
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
  /** Novelty of the self-similarity matrix at this bar (Foote 2000), at most 1: how much begins here to the ear. */
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

/** How long one part has led. */
export interface FreshnessLead {
  /** Part index. */
  readonly part: number;
  /** Part name. */
  readonly partName: string;
  /** Bars it leads in, alone or with others; in a recognised texture, those whose chief line it has. */
  readonly bars: number;
  /** Its longest run of bars in the lead. */
  readonly longestBars: number;
  /** First bar of that run, index from 0. */
  readonly fromBar: number;
  /** Last bar of that run, inclusive. */
  readonly toBar: number;
}

/** A place where listeners would expect a change that does not come. */
export interface FreshnessExpected {
  /** Bar by which a change would be expected, index from 0. */
  readonly bar: number;
  /** Printed bar. */
  readonly barNumber: string;
  /** First bar of the stretch without a change. */
  readonly fromBar: number;
  /** Last bar of the stretch, inclusive. */
  readonly toBar: number;
  /** Its length. */
  readonly bars: number;
}

/** A change that brings back a scoring heard before. */
export interface FreshnessRepeat {
  /** Bar of the change, index from 0. */
  readonly bar: number;
  /** Printed bar. */
  readonly barNumber: string;
  /** Bar at which that scoring began before. */
  readonly ofBar: number;
  /** Printed bar of that. */
  readonly ofBarNumber: string;
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
  /** Similarity of every bar to every other in scoring, activity, register and dynamics, 0 to 1, row by row. */
  readonly similarity: readonly number[];
  /** Parts that lead, the one that leads most first. */
  readonly leads: readonly FreshnessLead[];
  /** Where listeners would expect a change that does not come. */
  readonly expected: readonly FreshnessExpected[];
  /** Changes that bring back a scoring. */
  readonly repeats: readonly FreshnessRepeat[];
  /** Colours (instruments) that play and never lead, drums left out, and that never play. */
  readonly unused: { readonly neverLead: readonly string[]; readonly neverPlay: readonly string[] };
  /** Advice in a few sentences. */
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
   * `key signature`, `glissando`, `glissando speed`, `glissando pedals`.
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
