/** What balance returns, with what covers what and what one moment sounds like: flat rows. */
import type { Constants, Settings } from "../../base/settings.ts";
import type { Decibels, Share, Sones } from "../../base/units.ts";
import type { Role } from "../../texture/roles.ts";
import type { Remedy } from "./remedy_results.ts";
import type { PlaceRow, TimedBarRow } from "../rows.ts";

/** Balance of one note (or chord) of the lead against everything else that sounds. */
export interface BalanceNote extends TimedBarRow {
  /** Beat from 1. */
  readonly beat: number;
  /** Names of the leading parts, joined by " + ". */
  readonly lead: string;
  /** Top sounding pitch of the lead. */
  readonly soundingPitch: number;
  /** Handbook weight of the lead over that of the rest, in dB; positive when the lead outweighs. Null where it is alone. */
  readonly handbookDb: Decibels | null;
  /** Sound power of the lead over that of the rest, in dB. Null where it is alone. */
  readonly powerDb: Decibels | null;
  /** Loudness of the lead in the presence of the rest, in sones: mean over the note, two ears, doublings aside. */
  readonly partialSones: Sones;
  /** That loudness over the lead's loudness alone: 1 unmasked, 0 inaudible. */
  readonly audibleShare: Share;
}

/** Balance of one bar. Fields about the lead are null where nothing leads. */
export interface BalanceBar extends TimedBarRow {
  /** Names of the leading parts, joined by " + "; empty where nothing leads. */
  readonly lead: string;
  /** True where the lead is alone: nothing else sounds with any of its notes. Null where nothing leads. */
  readonly leadAlone: boolean | null;
  /** Handbook weight difference in dB, mean over the lead's notes that others sound with; null where it is alone. */
  readonly handbookDb: Decibels | null;
  /** Power difference in dB, likewise. */
  readonly powerDb: Decibels | null;
  /** Audible share by the hearing model, mean over the bar's lead notes, weighted by length. */
  readonly audibleShare: Share | null;
  /** Whole loudness in sones, all parts together. */
  readonly loudnessSones: Sones;
}

/** A layer's part in the loudness of one bar. */
export interface BalanceLayer {
  /** Bar index from 0. */
  readonly barIndex: number;
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
export interface BalanceWarning extends PlaceRow {
  /** What it is about. */
  readonly kind: BalanceWarningKind;
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
  /** For a clash: the parts between which it stands, as indexes in the score. */
  readonly parts?: readonly number[];
  /** For a covered lead, where they were worked out: ways out with what each gives, the best first. */
  readonly remedies?: readonly Remedy[];
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
export interface MomentSound extends TimedBarRow {
  /** Beat from 1. */
  readonly beat: number;
  /** Loudness of everything together, in sones. */
  readonly wholeSones: Sones;
  /** The layers, the loudest first. */
  readonly layers: readonly MomentSoundLayer[];
  /** A row for each layer and filter, from low to high. */
  readonly bands: readonly MomentBand[];
}

/** The balance measure. */
export interface Balance {
  /** Means over the piece; null where nothing leads anywhere. */
  readonly whole: {
    /** Mean handbook difference in dB over the bars in which others sound with the lead; null where it is always alone. */
    readonly handbookDb: Decibels | null;
    /** Mean power difference in dB, likewise. */
    readonly powerDb: Decibels | null;
    /** Mean audible share over the bars with a lead. */
    readonly audibleShare: Share | null;
    /** Share of the lead's bars in which it is alone. */
    readonly aloneShare: Share | null;
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
