/** What is said of notes that sound together: low intervals, roughness, blend. Flat rows. */
import type { Seconds, Share } from "../../base/units.ts";
import type { Role } from "../../texture/roles.ts";
import type { PlaceRow, SpanRow, TimedBarRow } from "../rows.ts";

/** Two notes that stand closer than their depth allows. */
export interface LowInterval extends PlaceRow {
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

/** What a teacher of harmony would mark in held chords. */
export type VoiceLeadingKind =
  | "parallel octaves"
  | "parallel fifths"
  | "hole"
  | "no third"
  | "doubled leading note"
  | "doubled seventh"
  | "leading note left"
  | "seventh left";

/** One kind of mark in the same voices, over neighbouring bars. */
export interface VoiceLeadingRow extends PlaceRow {
  /** What it is. */
  readonly kind: VoiceLeadingKind;
  /** Parts it is between, from top to bottom. */
  readonly parts: string;
  /** The heaviest place in words. */
  readonly what: string;
  /** Size of a hole; null of all else. */
  readonly semitones: number | null;
  /** How many places the row gathers. */
  readonly places: number;
  /** How much it weighs in all. */
  readonly weight: number;
}

/** Roughness of one bar. */
export interface RoughBar extends TimedBarRow {
  /** Mean roughness of the moments that sound; null in silence. */
  readonly roughness: number | null;
  /** Roughness of the roughest moment; null in silence. */
  readonly peak: number | null;
  /** Beat of that moment, from 1; null in silence. */
  readonly peakBeat: number | null;
}

/** How well the parts of one layer fuse. */
export interface BlendRow extends SpanRow {
  /** Layer id. */
  readonly layer: string;
  /** Its role. */
  readonly role: Role;
  /** Its parts in words. */
  readonly parts: string;
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
