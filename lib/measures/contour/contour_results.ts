/** What contour returns: flat rows that go straight into a chart or a table. */
import type { Constants, Settings } from "../../base/settings.ts";
import type { TimedBarRow } from "../rows.ts";

/** How loud, how high and how busy one bar is. */
export interface ContourBar extends TimedBarRow {
  /** Loudness level of everything together, in phons; null where the bar is silent. */
  readonly loudnessPhons: number | null;
  /** Mean sounding pitch, each layer as loud as it is heard (MIDI pitch); null where nothing with a pitch sounds. */
  readonly register: number | null;
  /** Lowest sounding pitch. */
  readonly lowest: number | null;
  /** Highest sounding pitch. */
  readonly highest: number | null;
  /** Notes that begin per second; what begins in unison with another is no note more, a slashed note is its strokes. */
  readonly notesPerSecond: number;
  /** The curve it is held against: the wish, or the pitch of the tune; null where neither is there. */
  readonly wanted: number | null;
}

/** What a contour is made of. */
export type ContourCurve = "loudness" | "register" | "density";

/** How one of the three curves goes. */
export interface ContourShape {
  /** Which one. */
  readonly curve: ContourCurve;
  /** Rank correlation with the curve it is held against, from -1 (the reverse) to 1 (the same shape); null where either is level. */
  readonly follows: number | null;
  /** How far it goes between its lowest and its highest bars: phons, semitones, or the ratio of densities. */
  readonly range: number;
}

/** The contour measure. */
export interface Contour {
  /** The whole passage. */
  readonly whole: {
    /** Mean of what the three follow, by their weights, a level curve counting 0; null where all are level, or there is nothing to follow. */
    readonly contour: number | null;
    /** Range of loudness, in phons. */
    readonly loudnessRange: number;
    /** Range of register, in semitones. */
    readonly registerRange: number;
    /** Highest density over lowest. */
    readonly densityRange: number;
  };
  /** What the curves are held against: a wish, or the tune's own shape. */
  readonly against: "wish" | "tune";
  /** One row per curve: loudness, register, density. */
  readonly perCurve: readonly ContourShape[];
  /** One row per bar. */
  readonly perBar: readonly ContourBar[];
  /** What goes with it, what against it, what stays level, in a few sentences. */
  readonly description: readonly string[];
  /** Constants used. */
  readonly settings: Settings<Constants>;
}
