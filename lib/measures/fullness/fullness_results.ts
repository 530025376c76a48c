/** What fullness returns: flat rows that go straight into a chart or a table. */
import type { Constants, Settings } from "../../base/settings.ts";
import type { Share } from "../../base/units.ts";
import type { TimedBarRow } from "../rows.ts";

/** Fullness of one bar. Figures are of what sounds outside the lead; null where nothing does. */
export interface FullnessBar extends TimedBarRow {
  /** Completeness times spacing, 0 to 1; 0 where nothing sounds beside the lead. */
  readonly fullness: Share;
  /** Share of the tones that make the chord (root, third, seventh) that sound outside the lead. */
  readonly completeness: Share | null;
  /** Tones that are wanting, in words, for example `third`; empty where none is. */
  readonly missing: string;
  /** 1 where no gap is wider than a pad may have, less in proportion where one is. */
  readonly spacing: Share | null;
  /** Widest gap between neighbouring pitches, in semitones; null where fewer than two sound. */
  readonly widestGap: number | null;
  /** Sounding pitch below that gap. */
  readonly gapFrom: number | null;
  /** Share of the players who have the chord's third; null where it has none. */
  readonly thirdShare: Share | null;
  /** Share of the players who have the leading note, in chords of the dominant; null elsewhere. */
  readonly leadingNoteShare: Share | null;
  /** Share of the players below C3. */
  readonly lowShare: Share | null;
  /** Share of the players from C5 on. */
  readonly highShare: Share | null;
  /** How many players play, the lead's included; mean over the beats. */
  readonly players: number;
}

/** The fullness measure. */
export interface Fullness {
  /** Means over the bars in which anything sounds. */
  readonly whole: {
    /** Mean fullness. */
    readonly fullness: Share;
    /** Mean completeness of the bars in which others sound with the lead; null where none do. */
    readonly completeness: Share | null;
    /** Mean spacing, likewise. */
    readonly spacing: Share | null;
    /** Mean number of players. */
    readonly players: number;
  };
  /** One row per bar. */
  readonly perBar: readonly FullnessBar[];
  /** Where chords want tones or stand in holes, in a few sentences. */
  readonly description: readonly string[];
  /** Constants used. */
  readonly settings: Settings<Constants>;
}
