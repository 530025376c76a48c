/** Options and constants of the sound. */
import {
  A_NUMBER,
  A_RECORD,
  A_TEXT,
  A_TEXTURE,
  A_WHOLE,
  checkOptions,
  type Kind,
  listOf,
  oneOf,
  oneOfNumbers,
} from "../../base/arguments.ts";
import { A_SOUND_FONT, type SoundFont } from "../../formats/sound/read_sound_font.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import type { Hall } from "../../measures/balance/listening_place.ts";
import type { BarsAsked } from "../../orchestrate/rewrite/bars_asked.ts";
import type { Texture } from "../../texture/model.ts";
import type { Role } from "../../texture/roles.ts";

/** Constants of {@linkcode audition}, with their units and sources. */
export const AUDITION_CONSTANTS = {
  directShare: {
    value: 0.5,
    unit: "share",
    source:
      "model assumption: a seat well forward; in the hall of the balance, 15 m from the stage, it would be 0.22",
    meaning: "share of a part's energy that comes straight from the stage, where no hall is given",
  },
  reverberationSeconds: {
    value: 1.4,
    unit: "seconds",
    least: 0.1,
    most: 10,
    source:
      "model assumption: a mid-sized hall for a small orchestra, a little dry so that attacks stay apart",
    meaning: "time in which the hall falls by 60 dB, where no hall is given that says",
  },
  mostVoices: {
    value: 5,
    unit: "players",
    least: 1,
    most: 12,
    source: "model assumption: more are no longer told apart",
    meaning: "most players of a section that are heard as voices of their own; the level is that of all",
  },
  detuneCents: {
    value: 5,
    unit: "cents",
    most: 50,
    source: "model assumption, from memory of measured choirs and sections: 5 to 15 cents",
    meaning: "how far the voices of a section lie from the pitch",
  },
  spreadSeconds: {
    value: 0.008,
    unit: "seconds",
    most: 0.1,
    source: "model assumption; players of an ensemble begin within 30 to 50 ms (Rasch 1979, from memory)",
    meaning: "within how long the voices of a section begin",
  },
  vibratoCents: {
    value: 7,
    unit: "cents",
    most: 100,
    source: "model assumption: the least that a held note needs to sound played",
    meaning: "how far the pitch of strings, flutes, double reeds and voices sways each way",
  },
  noiseDb: {
    value: 0,
    unit: "dB",
    source: "model assumption",
    meaning: "how much stronger than usual breath, bow and hammer noise is",
  },
  peakDb: {
    value: -1.5,
    unit: "dB",
    most: -1,
    source: "model assumption, under the -1 dB true peak of EBU R 128 (2014)",
    meaning: "true peak of the loudest place, against full scale, where no gain is given",
  },
} as const;

/** The constants' values. */
export type AuditionSettings = Settings<typeof AUDITION_CONSTANTS>;

/** Options of {@linkcode audition}. */
export interface AuditionOptions extends BarsAsked {
  /** Layers that are heard, by id; by default all. */
  readonly layers?: readonly string[];
  /** Roles that are heard; by default all. */
  readonly roles?: readonly Role[];
  /** Parts that are heard, by name; by default all. */
  readonly parts?: readonly string[];
  /** What each stem holds: a layer, a role or a part; `none` for the whole alone. @default {"layer"} */
  readonly stemsBy?: "layer" | "role" | "part" | "none";
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Samples a second. @default {44100} */
  readonly sampleRate?: 22050 | 24000 | 32000 | 44100 | 48000;
  /** Where chance begins: the same seed gives the same samples. @default {1} */
  readonly seed?: number;
  /** The hall of {@linkcode balance}, or `none` for the stage alone; by default a plain one. */
  readonly hall?: Hall | "none";
  /**
   * Sounds that play in place of the library's own: what `readSoundFont` gives. Every stroke still has the level that the balance
   * gives it, and what the bank has no sound for is played by the library.
   */
  readonly soundFont?: SoundFont;
  /** Where parts or families sit, from -1 (left) to 1 (right), where that is not as usual. */
  readonly seating?: Readonly<Record<string, number>>;
  /**
   * What is added to the level at the listener, in dB SPL, to have it against full scale. By default what brings the
   * loudest place to `peakDb`; give one figure to compare several renderings.
   */
  readonly gainDb?: number;
  /** Constants that differ from {@linkcode AUDITION_CONSTANTS}. */
  readonly constants?: Partial<AuditionSettings>;
}

/** Sample rates that are rendered; spectra reach up to 10 kHz, so that 24,000 is enough for all of them. */
const SAMPLE_RATES = [22050, 24000, 32000, 44100, 48000] as const;

const OPTIONS: Readonly<Record<string, Kind | undefined>> = {
  fromBar: A_NUMBER,
  toBar: A_NUMBER,
  layers: listOf(A_TEXT, "a list of ids"),
  roles: listOf(A_TEXT, "a list of roles"),
  parts: listOf(A_TEXT, "a list of names"),
  stemsBy: oneOf(["layer", "role", "part", "none"]),
  texture: A_TEXTURE,
  sampleRate: oneOfNumbers(SAMPLE_RATES),
  seed: A_WHOLE,
  hall: { ...A_RECORD, fits: (value) => value === "none" || A_RECORD.fits(value) },
  soundFont: A_SOUND_FONT,
  seating: A_RECORD,
  gainDb: A_NUMBER,
  constants: undefined,
};

/** Checks the options, and gives the constants in force. */
export function auditionSettings(action: string, options: AuditionOptions): AuditionSettings {
  checkOptions(action, options, OPTIONS);
  return applySettings("sound", AUDITION_CONSTANTS, options.constants);
}
