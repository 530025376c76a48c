/** How fast an instrument can go: attacks, slurred changes, trills. From `data/rates.csv`. */
import { A_NUMBER, A_RECORD, A_TEXT, checkArgument, checkOptions } from "../base/arguments.ts";
import ratesText from "../../data/rates.csv" with { type: "text" };
import tonguingText from "../../data/tonguing.csv" with { type: "text" };
import type { Seconds, SoundingPitch } from "../base/units.ts";
import type { Instrument } from "./catalogue.ts";
import { aNumber, anyText, numberOrNothing, oneOf, someText, under, yesOrNo } from "./data_table.ts";
import { type FigureSource, figureTable } from "./figure_table.ts";
import { registerOf } from "./registers.ts";

/** What a rate counts: repeated attacks, slurred changes, trill notes, strokes of a roll, or something else. */
export type RateKind = "repeated" | "legato" | "trill" | "roll" | "other";

/** One rate of one technique. */
export interface RateLimit extends FigureSource {
  /** Technique, for example `double tonguing`. */
  readonly technique: string;
  /** What is counted. */
  readonly kind: RateKind;
  /** Events per second that can be kept up; null where the source gives only the most. */
  readonly typicalPerSecond: number | null;
  /** Events per second in a short burst. */
  readonly maximumPerSecond: number;
  /** True when any professional is expected to do it. */
  readonly conventional: boolean;
  /** `planning` for figures to plan with, `anchor` for single observations kept beside them. */
  readonly use: "planning" | "anchor";
  /** A remark, or empty. */
  readonly note: string;
}

/** How fast, for a moment and for long. */
export interface SpeedLimit extends FigureSource {
  /** Technique that allows it. */
  readonly technique: string;
  /** Events per second in a short burst of a few beats. */
  readonly burstPerSecond: number;
  /** Events per second that can be kept up. */
  readonly sustainedPerSecond: number;
}

/** Whether players of an instrument tongue double and triple by custom. */
export interface TonguingSupport extends FigureSource {
  /** Double tonguing: expected of everybody, or of some. */
  readonly double: "conventional" | "advanced";
  /** Triple tonguing. */
  readonly triple: "conventional" | "rare" | "none";
}

const rates = figureTable("data/rates.csv", ratesText, {
  technique: someText,
  kind: oneOf(["repeated", "legato", "trill", "roll", "other"]),
  typicalPerSecond: numberOrNothing,
  maximumPerSecond: aNumber,
  conventional: yesOrNo,
  use: oneOf(["planning", "anchor"]),
  note: anyText,
}).eachOf("technique");

const tonguing = figureTable("data/tonguing.csv", tonguingText, {
  double: under("double_tonguing", oneOf(["conventional", "advanced"])),
  triple: under("triple_tonguing", oneOf(["conventional", "rare", "none"])),
  note: anyText,
}).nearest;

/** Constants of {@linkcode speedOver}. */
export const SPEED_CONSTANTS = {
  burstSeconds: {
    value: 2,
    unit: "seconds",
    source: "common practice, no source",
    meaning: "how long the fastest rate lasts",
  },
  sustainedFromSeconds: {
    value: 8,
    unit: "seconds",
    source: "common practice, no source",
    meaning: "from when on only the sustained rate is left",
  },
} as const;

/**
 * Every rate known for an instrument. A technique the instrument has no figure of its own for is taken from
 * the instrument it is like, then from its family.
 *
 * @param instrument the instrument
 * @returns the rates, planning figures and single observations
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { rateLimits } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const double = rateLimits(instrumentById("trumpet in C")).find((r) => r.technique === "double tonguing");
 * assertEquals([double?.typicalPerSecond, double?.maximumPerSecond], [10.7, 13.3]);
 * ```
 */
export function rateLimits(instrument: Instrument): readonly RateLimit[] {
  return rates(instrument);
}

const OPTIONS = { technique: A_TEXT, soundingPitch: A_NUMBER };

/**
 * How fast an instrument can repeat a note. Without a technique this is the fastest way every professional
 * is expected to have: double tonguing on the flute, single tonguing on the oboe, the bow in measured
 * tremolo, two hands on a drum. Plucking on a bowed instrument and flutter tonguing count only when asked for.
 * With a pitch, a register that is slow to speak lowers the limit (model assumption).
 *
 * @param instrument the instrument
 * @param options a technique, for example `single tonguing`, `détaché` or `pizzicato`; a sounding pitch
 * @returns the limit with its source, or null where none is known
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { repeatedNoteLimit } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(repeatedNoteLimit(instrumentById("oboe"))?.technique, "single tonguing");
 * assertEquals(repeatedNoteLimit(instrumentById("cello"), { technique: "pizzicato" })?.burstPerSecond, 5);
 * ```
 */
export function repeatedNoteLimit(
  instrument: Instrument,
  options: { readonly technique?: string; readonly soundingPitch?: SoundingPitch } = {},
): SpeedLimit | null {
  checkOptions("look up the speed", options, OPTIONS);
  const { technique, soundingPitch } = options;
  const limit = fastest(
    instrument,
    (limit) =>
      technique === undefined
        ? limit.kind === "repeated" && limit.conventional && limit.technique !== "pizzicato"
        : limit.technique === technique,
  );
  if (limit === null || soundingPitch === undefined) return limit;
  const factor = registerOf(instrument, soundingPitch).register?.speedFactor ?? 1;
  if (factor === 1) return limit;
  return {
    ...limit,
    burstPerSecond: limit.burstPerSecond * factor,
    sustainedPerSecond: limit.sustainedPerSecond * factor,
  };
}

/**
 * How fast an instrument can change notes under a slur, in stepwise motion.
 *
 * @param instrument the instrument
 * @returns the limit with its source, or null where none is known
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { legatoLimit } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(legatoLimit(instrumentById("clarinet in A"))?.sustainedPerSecond, 12);
 * ```
 */
export function legatoLimit(instrument: Instrument): SpeedLimit | null {
  return fastest(instrument, (limit) => limit.kind === "legato");
}

/**
 * How fast an instrument can trill, in notes (two to each turn of the trill).
 *
 * @param instrument the instrument
 * @returns the limit with its source, or null where none is known
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { trillLimit } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(trillLimit(instrumentById("flute"))?.burstPerSecond, 15);
 * ```
 */
export function trillLimit(instrument: Instrument): SpeedLimit | null {
  return fastest(instrument, (limit) => limit.kind === "trill");
}

/**
 * How fast an instrument can play moving notes, each with its own attack: a tongued, bowed or struck scale.
 * Tongue or bow and fingers must keep together, so it is the lesser of the two for blown and bowed instruments
 * (measured tremolo, which asks nothing of the fingers, does not count); for struck and plucked ones it is
 * their scale rate.
 *
 * @param instrument the instrument
 * @returns the limit with its source, or null where none is known
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { separateNoteLimit } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(separateNoteLimit(instrumentById("violin"))?.technique, "sautillé");
 * assertEquals(separateNoteLimit(instrumentById("tenor trombone"))?.technique, "scale run");
 * ```
 */
export function separateNoteLimit(instrument: Instrument): SpeedLimit | null {
  const legato = legatoLimit(instrument);
  if (instrument.soundProduction === "struck" || instrument.soundProduction === "plucked") {
    return legato ?? repeatedNoteLimit(instrument);
  }
  const stroke = fastest(
    instrument,
    (limit) =>
      limit.kind === "repeated" && limit.conventional && !["pizzicato", "tremolo"].includes(limit.technique),
  );
  if (legato === null || stroke === null) return stroke ?? legato;
  return legato.sustainedPerSecond < stroke.sustainedPerSecond ? legato : stroke;
}

/**
 * The rate that can be kept up for a given time. The burst rate holds for two seconds, the sustained rate from
 * eight seconds on, and between them the limit falls evenly over the logarithm of the time (common practice,
 * no source).
 *
 * @param limit a burst and a sustained rate
 * @param seconds how long it goes on without a pause
 * @returns events per second
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { repeatedNoteLimit, speedOver } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const flute = repeatedNoteLimit(instrumentById("flute"))!;
 * assertEquals([speedOver(flute, 1), speedOver(flute, 4), speedOver(flute, 30)], [13.3, 12, 10.7]);
 * ```
 */
export function speedOver(
  limit: Pick<SpeedLimit, "burstPerSecond" | "sustainedPerSecond">,
  seconds: Seconds,
): number {
  checkArgument("work out the speed", seconds, A_NUMBER, "seconds");
  checkArgument("work out the speed", limit, A_RECORD);
  const { burstSeconds, sustainedFromSeconds } = SPEED_CONSTANTS;
  if (seconds <= burstSeconds.value) return limit.burstPerSecond;
  if (seconds >= sustainedFromSeconds.value) return limit.sustainedPerSecond;
  const share = Math.log(seconds / burstSeconds.value) /
    Math.log(sustainedFromSeconds.value / burstSeconds.value);
  return limit.burstPerSecond + share * (limit.sustainedPerSecond - limit.burstPerSecond);
}

/**
 * Whether players of a wind instrument tongue double and triple by custom.
 *
 * @param instrument the instrument
 * @returns what is expected, or null for what is not blown by mouth
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { tonguingSupport } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(tonguingSupport(instrumentById("clarinet in A"))?.double, "advanced");
 * assertEquals(tonguingSupport(instrumentById("viola")), null);
 * ```
 */
export function tonguingSupport(instrument: Instrument): TonguingSupport | null {
  return tonguing(instrument)[0] ?? null;
}

/** The fastest of some planning figures under the nearest name that has any: one's own before the family's. */
function fastest(instrument: Instrument, wanted: (limit: RateLimit) => boolean): SpeedLimit | null {
  const planned = rateLimits(instrument).filter((limit) => limit.use === "planning" && wanted(limit));
  const [best] = planned.filter((limit) => limit.figureOf === planned[0]!.figureOf)
    .sort((a, b) => speed(b) - speed(a));
  if (best === undefined) return null;
  const { technique, maximumPerSecond, typicalPerSecond, figureOf, source, confidence } = best;
  return {
    technique,
    burstPerSecond: maximumPerSecond,
    sustainedPerSecond: typicalPerSecond ?? maximumPerSecond,
    figureOf,
    source,
    confidence,
  };
}

function speed(limit: RateLimit): number {
  return limit.maximumPerSecond + (limit.typicalPerSecond ?? 0) / 1000;
}
