/** What an instrument can do at a tempo and a loudness: the planner's question. */
import { A_NUMBER, AN_INSTRUMENT, checkArgument, checkOptions } from "../base/arguments.ts";
import type { SoundingPitch } from "../base/units.ts";
import { breathSeconds } from "./breath.ts";
import type { Instrument } from "./catalogue.ts";
import { type RateLimit, rateLimits, speedOver } from "./rates.ts";
import { registerOf } from "./registers.ts";
import type { Sourced } from "./data_table.ts";

/** Options of {@linkcode capabilities}. */
export interface CapabilitiesOptions {
  /** Beats per minute, quarter notes. */
  readonly bpm: number;
  /** Loudness, 1 ppp to 8 fff; by default 5, mf. */
  readonly dynamic?: number;
  /** Notes to the beat: 4 for sixteenths, the default. */
  readonly notesPerBeat?: number;
  /** Beats it goes on without a pause; by default 16. */
  readonly beats?: number;
  /** Sounding pitch it lies about, for the register. */
  readonly soundingPitch?: SoundingPitch;
}

/** Whether one technique keeps up. */
export interface TechniqueVerdict extends Sourced {
  /** Technique. */
  readonly technique: string;
  /** What is counted. */
  readonly kind: RateLimit["kind"];
  /** True when it keeps up for the whole length. */
  readonly possible: boolean;
  /** True when any professional is expected to do it. */
  readonly conventional: boolean;
  /** Notes per second it allows over that length. */
  readonly limitPerSecond: number;
}

/** What an instrument can do under given conditions. */
export interface Capabilities {
  /** Notes per second asked for. */
  readonly perSecond: number;
  /** Seconds it goes on. */
  readonly lengthSeconds: number;
  /** Techniques from the fastest down. */
  readonly techniques: readonly TechniqueVerdict[];
  /** Breaths needed for the length, 1 where one lasts; null where no breath is needed. */
  readonly breaths: number | null;
  /** True when the register speaks at that loudness; true where no pitch was given. */
  readonly dynamicPossible: boolean;
  /** Register, or empty where no pitch was given. */
  readonly register: string;
}

const OPTIONS = {
  bpm: A_NUMBER,
  dynamic: A_NUMBER,
  notesPerBeat: A_NUMBER,
  beats: A_NUMBER,
  soundingPitch: A_NUMBER,
};

/**
 * What an instrument can do at a tempo, loudness and length: which techniques keep up, how many breaths it
 * takes, whether the register speaks at that loudness. A register that is slow to speak lowers the limits.
 *
 * @param instrument the instrument
 * @param options tempo, loudness, notes to the beat, length in beats, pitch
 * @returns the verdicts, with figures and sources
 *
 * @example Can horns double-tongue sixteenths at 152 for eight bars?
 * ```ts
 * import { capabilities, instrumentById } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const asked = { bpm: 152, dynamic: 6, beats: 32, soundingPitch: 60 };
 * const { techniques, breaths } = capabilities(instrumentById("horn in F"), asked);
 * const double = techniques.find((each) => each.technique === "double tonguing");
 * assertEquals([double?.possible, double?.limitPerSecond], [false, 9.3]);
 * assertEquals(breaths, 2);
 * ```
 */
export function capabilities(instrument: Instrument, options: CapabilitiesOptions): Capabilities {
  checkArgument("look up an instrument", instrument, AN_INSTRUMENT);
  checkOptions("look up what the instrument can do", options, OPTIONS);
  const { bpm, dynamic = 5, notesPerBeat = 4, beats = 16, soundingPitch } = options;
  const perSecond = bpm / 60 * notesPerBeat;
  const lengthSeconds = beats * 60 / bpm;
  const place = soundingPitch === undefined ? null : registerOf(instrument, soundingPitch);
  const register = place?.register ?? null;
  const techniques = rateLimits(instrument)
    .filter((limit) => limit.use === "planning" && limit.kind !== "other")
    .map((limit) => {
      const limitPerSecond = (register?.speedFactor ?? 1) * speedOver(
        {
          burstPerSecond: limit.maximumPerSecond,
          sustainedPerSecond: limit.typicalPerSecond ?? limit.maximumPerSecond,
        },
        lengthSeconds,
      );
      return {
        technique: limit.technique,
        kind: limit.kind,
        possible: perSecond <= limitPerSecond,
        conventional: limit.conventional,
        limitPerSecond,
        source: limit.source,
        confidence: limit.confidence,
      };
    })
    .sort((a, b) => b.limitPerSecond - a.limitPerSecond);
  const breath = breathSeconds(instrument, dynamic, soundingPitch === undefined ? {} : { soundingPitch });
  return {
    perSecond,
    lengthSeconds,
    techniques,
    breaths: breath === null ? null : Math.max(1, Math.ceil(lengthSeconds / breath)),
    dynamicPossible: place === null ||
      place.inRange &&
        (register === null || dynamic >= register.softestDynamic && dynamic <= register.loudestDynamic),
    register: place?.name ?? "",
  };
}
