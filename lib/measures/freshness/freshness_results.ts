/** What freshness returns: flat rows that go straight into a chart or a table. */
import type { Constants, Settings } from "../../base/settings.ts";
import type { Share } from "../../base/units.ts";
import type { Role } from "../../texture/roles.ts";
import type { BarRow, SpanRow, TimedBarRow } from "../rows.ts";

/** Freshness of one bar. */
export interface FreshnessBar extends TimedBarRow {
  /** Freshness, 0 to 1: renewed by a change where a phrase begins, halving every half-life; times the phrase's coherence. */
  readonly freshness: Share;
  /** How much the orchestration changed at this bar line, 0 to 1. */
  readonly change: Share;
  /** Novelty of the self-similarity matrix at this bar (Foote 2000), at most 1: how much begins here to the ear. */
  readonly novelty: number;
  /** Evidence that a phrase begins here, from the leading line, the bass and printed signs, 0 to 1. */
  readonly turn: Share;
  /** Which phrase it is in, from 0. */
  readonly phrase: number;
  /** How much the scoring changes for its own sake: inside a phrase, and to nothing heard just before. */
  readonly restless: Share;
  /** Bars since the last change of role, instrument or figure. */
  readonly barsSinceChange: number;
  /** Names of the leading parts. */
  readonly lead: string;
}

/** A place where the orchestration changes. */
export interface FreshnessChange extends BarRow {
  /** How much changed, 0 to 1. */
  readonly change: Share;
  /** Whether a phrase begins here. */
  readonly beginsPhrase: boolean;
  /** What changed, in words. */
  readonly what: string;
}

/** A phrase of the music. */
export interface FreshnessPhrase extends SpanRow {
  /** Printed bar where it begins. */
  readonly bar: string;
  /** 1 where it has one scoring, or scorings that answer each other; a half where all changes once on the way. */
  readonly coherence: Share;
}

/** How long one layer has stayed the same. */
export interface FreshnessLayer extends SpanRow {
  /** Layer id. */
  readonly layer: string;
  /** Its role. */
  readonly role: Role;
  /** How many bars it stays. */
  readonly bars: number;
}

/** How long one part has led. */
export interface FreshnessLead {
  /** Part index. */
  readonly part: number;
  /** Part name. */
  readonly partName: string;
  /** Bars it leads in, alone or with others. */
  readonly bars: number;
  /** Of these, those in which no other part is as surely the lead; in a written texture that is all of them. */
  readonly chiefBars: number;
  /** Its longest run of bars in the lead. */
  readonly longestBars: number;
  /** First bar of that run, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar of that run, inclusive. */
  readonly toBarIndex: number;
}

/** A place where listeners would expect a change that does not come. */
export interface FreshnessExpected {
  /** Bar by which a change would be expected, index from 0. */
  readonly barIndex: number;
  /** Printed bar. */
  readonly bar: string;
  /** First bar of the stretch without a change. */
  readonly fromBarIndex: number;
  /** Last bar of the stretch, inclusive. */
  readonly toBarIndex: number;
  /** Its length. */
  readonly bars: number;
}

/** A change that brings back a scoring heard before. */
export interface FreshnessRepeat {
  /** Bar of the change, index from 0. */
  readonly barIndex: number;
  /** Printed bar. */
  readonly bar: string;
  /** Bar at which that scoring began before. */
  readonly ofBarIndex: number;
  /** Printed bar of that. */
  readonly ofBar: string;
  /** Bars since it was last heard. */
  readonly awayBars: number;
}

/** The freshness measure. */
export interface Freshness {
  /** Means over the piece. */
  readonly whole: {
    /** Mean freshness over the bars. */
    readonly freshness: Share;
    /** Change for its own sake: what phrases want of coherence, mean over the bars. */
    readonly restlessness: Share;
    /** Mean bars between changes, the ends counted as changes; null where nothing changes. */
    readonly barsBetweenChanges: number | null;
    /** Longest stretch without a change, in bars. */
    readonly longestStretchBars: number;
    /** Number of distinct leads: parts that lead together in a plan are one; read off the notes, each bar's chief line or the tutti. */
    readonly distinctLeads: number;
  };
  /** One row per bar. */
  readonly perBar: readonly FreshnessBar[];
  /** The phrases. */
  readonly phrases: readonly FreshnessPhrase[];
  /** One row per layer. */
  readonly perLayer: readonly FreshnessLayer[];
  /** Change points. */
  readonly changes: readonly FreshnessChange[];
  /**
   * Similarity of every bar to every other in scoring, activity, register and dynamics, 0 to 1, row by row; empty for
   * scores of more than 2000 bars.
   */
  readonly similarity: readonly number[];
  /** Parts that lead, the one that leads most first. */
  readonly leads: readonly FreshnessLead[];
  /** Where listeners would expect a change that does not come. */
  readonly expected: readonly FreshnessExpected[];
  /** Changes that bring back a scoring. */
  readonly repeats: readonly FreshnessRepeat[];
  /** Colours (instruments) that play and never lead, drums left out, and that never play. */
  readonly unused: { readonly neverLead: readonly string[]; readonly neverPlay: readonly string[] };
  /** Who leads where, where nothing changes, what comes back and what is unused, in a few sentences without advice. */
  readonly description: readonly string[];
  /** The same for a score that can still be changed: with what could be done. */
  readonly advice: readonly string[];
  /** Constants used. */
  readonly settings: Settings<Constants>;
}
