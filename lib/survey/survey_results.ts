/** What a survey returns and keeps: a row for each score, its bars and its recipe. */
import type { Decibels, Seconds, Share, Sones } from "../base/units.ts";

/** One score of a survey. Where it could not be read or measured, `error` says why and all figures are null. */
export interface SurveyScore {
  /** Path from the folder surveyed, with strokes forward. */
  readonly path: string;
  /** SHA-256 of its content, the first 32 letters: files of one content have the same. */
  readonly hash: string;
  /** Why there are no figures, in a sentence; null where there are. */
  readonly error: string | null;
  /** Its title, as written. */
  readonly title: string | null;
  /** Parts. */
  readonly parts: number | null;
  /** Bars, as printed. */
  readonly bars: number | null;
  /** Notes, tied ones joined. */
  readonly notes: number | null;
  /** How long it lasts. */
  readonly durationSeconds: Seconds | null;
  /** Mean momentum, driving attacks per second. */
  readonly momentum: number | null;
  /** Share of momentum that does not come from the lead. */
  readonly secondaryShare: Share | null;
  /** Mean audible share of the lead; null also where nothing leads. */
  readonly audibleShare: Share | null;
  /** Mean power difference of the lead; null also where it is alone throughout. */
  readonly powerDb: Decibels | null;
  /** Mean handbook difference of the lead, likewise. */
  readonly handbookDb: Decibels | null;
  /** Mean freshness. */
  readonly freshness: Share | null;
  /** Mean bars between changes; null also where nothing changes. */
  readonly barsBetweenChanges: number | null;
  /** How often the lead goes to another chief line, in 100 bars. */
  readonly leadChangesPer100Bars: number | null;
  /** Bars a lead lasts, the middle one of all; null also where nobody leads. */
  readonly medianLeadBars: number | null;
  /** The longest lead, in bars. */
  readonly longestLeadBars: number | null;
  /** How many times the orchestration turns, in 100 bars. */
  readonly turnsPer100Bars: number | null;
  /** Findings called impossible. */
  readonly impossible: number | null;
  /** Findings called risky. */
  readonly risky: number | null;
  /** Findings called tiring. */
  readonly tiring: number | null;
  /** Kinds of things noticed in the file. */
  readonly notices: number | null;
}

/** One bar of a score of a survey. */
export interface SurveyBar {
  /** Path of the score. */
  readonly path: string;
  /** Bar index from 0. */
  readonly barIndex: number;
  /** Bar as printed. */
  readonly bar: string;
  /** When it begins. */
  readonly onsetSeconds: Seconds;
  /** Driving attacks per second. */
  readonly momentum: number;
  /** Audible share of the lead; null where nothing leads. */
  readonly audibleShare: Share | null;
  /** Whole loudness. */
  readonly loudnessSones: Sones;
  /** Freshness. */
  readonly freshness: Share;
  /** How much the orchestration changed at this bar line. */
  readonly change: Share;
  /** Names of the leading parts, joined by " + ". */
  readonly lead: string;
}

/** One figure of a score's recipe. */
export interface SurveyRecipeRow {
  /** Path of the score. */
  readonly path: string;
  /**
   * What it is about: `role by family`, `figure by instrument`, `figure by family`, `doubling`, `turn` (shares), `momentum` and `audible share`
   * (stretches 1 to 10).
   */
  readonly of: string;
  /** The family, the first instrument, what happens at a turn, or the stretch. */
  readonly first: string;
  /** The role, the figure or the other instrument; empty for turns and stretches. */
  readonly second: string;
  /** The share or the figure; null where nothing leads over a stretch. */
  readonly value: number | null;
}

/** A survey that is done. */
export interface Survey {
  /** The folder it stands in. */
  readonly folder: string;
  /** A row for each file, sorted by path. */
  readonly scores: readonly SurveyScore[];
}

/** How far a survey is. */
export interface SurveyProgress {
  /** Files that are done, those of earlier runs among them. */
  readonly done: number;
  /** Files in all; of a shard, its own. */
  readonly total: number;
  /** Files of which a row says why there are no figures. */
  readonly failed: number;
  /** Files that earlier runs had done. */
  readonly resumed: number;
  /** Seconds that are left, as far as can be told from what has been done; null at first. */
  readonly remainingSeconds: Seconds | null;
}
