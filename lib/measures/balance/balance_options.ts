/** Options and constants of the measures of hearing. */
import { A_RECORD, A_TEXTURE, checkOptions, type Kind, oneOf } from "../../base/arguments.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import type { Texture } from "../../texture/model.ts";
import type { HearingDetail } from "./ear_grid.ts";
import type { ListeningPlace } from "./listening_place.ts";

/** Constants of {@linkcode balance}, with their units and sources. */
export const BALANCE_CONSTANTS = {
  hallStrengthDb: {
    value: 3,
    unit: "dB",
    source: "model assumption: a mid-sized concert hall, mid frequencies",
    meaning: "how much louder the hall makes a source than it is at 10 m in the open",
  },
  gridStepCam: {
    value: 0.25,
    unit: "Cam",
    least: 0.01,
    most: 1,
    source: "model assumption: loudness within 0.1 % of that on the standard's 0.1",
    meaning: "distance between the ear's filters",
  },
  quickGridStepCam: {
    value: 0.5,
    unit: "Cam",
    least: 0.01,
    most: 1,
    source: "model assumption",
    meaning: "the same where the detail is quick",
  },
  accentSteps: {
    value: 1,
    unit: "steps of the dynamic scale",
    most: 7,
    source: "model assumption",
    meaning: "how much louder an accented or marcato note is played",
  },
  leadSteps: {
    value: 0,
    unit: "steps of the dynamic scale",
    least: -7,
    most: 7,
    source:
      "as marked; players who lead commonly give half a step to a step more (common practice, no source)",
    meaning: "how much louder than marked leading parts play",
  },
  listenSeconds: {
    value: 0.15,
    unit: "seconds",
    above: 0,
    source:
      "model assumption, near the 0.1 to 0.2 s over which loudness builds up (Moore, An Introduction to the Psychology of Hearing, ch. 4, from memory)",
    meaning:
      "shortest stretch in which the ear judges a note of the lead; the note counts as the mean of its stretches",
  },
  twoEarsDb: {
    value: 3,
    unit: "dB",
    least: 0,
    source:
      "model assumption: a few decibels in a hall where sounds come from different places (Blauert, Spatial Hearing, 1997, ch. 3, from memory)",
    meaning:
      "how much weaker the rest covers a note of the lead for two ears, as it sits elsewhere on the stage",
  },
  coveredBelowShare: {
    value: 0.1,
    unit: "share",
    source: "model assumption: 10 to 12 dB above the masked threshold of this model",
    meaning: "audible share under which the lead counts as covered",
  },
} as const;

/** The constants' values. */
export type BalanceSettings = Settings<typeof BALANCE_CONSTANTS>;

/** Options of {@linkcode balance}. */
export interface BalanceOptions extends ListeningPlace {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Constants that differ from {@linkcode BALANCE_CONSTANTS}. */
  readonly constants?: Partial<BalanceSettings>;
  /**
   * `full`, or `quick` for comparing thousands of settings: several times faster, and 3 % of the whole's sones off at
   * most. @default {"full"}
   */
  readonly detail?: HearingDetail;
}

/** All options of {@linkcode BalanceOptions} and what they have to be; undefined where that is checked elsewhere. */
export const BALANCE_OPTIONS: Readonly<Record<string, Kind | undefined>> = {
  texture: A_TEXTURE,
  constants: undefined,
  hall: A_RECORD,
  gainsDb: undefined,
  detail: oneOf(["full", "quick"]),
};

/** Checks the options of a measure of hearing. */
export function balanceSettings(action: string, options: BalanceOptions): BalanceSettings {
  checkOptions(action, options, BALANCE_OPTIONS);
  return applySettings("balance", BALANCE_CONSTANTS, options.constants);
}
