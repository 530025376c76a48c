/** Glissando limits and what tires a player. From `data/glissando_limits.csv` and `data/stamina.csv`. */
import glissandoText from "../../data/glissando_limits.csv" with { type: "text" };
import staminaText from "../../data/stamina.csv" with { type: "text" };
import type { Instrument } from "./catalogue.ts";
import { aNumber, anyText, numberOrNothing, oneOf, someText } from "./data_table.ts";
import { type FigureSource, figureTable } from "./figure_table.ts";

/**
 * How a glissando is made. Continuous: by the slide, by the pedal of a drum, along one string, by the voice, and
 * within limits by lip, fingers or half-pressed valves. In steps: over the strings of a harp, over keys or bars,
 * over the harmonic series of a horn.
 */
export type GlissandoWay =
  | "slide"
  | "pedal"
  | "along one string"
  | "portamento"
  | "lipped upward"
  | "bent"
  | "half-valve"
  | "over the strings"
  | "over the keys"
  | "over the bars"
  | "rip";

const WAYS: readonly GlissandoWay[] = [
  "slide",
  "pedal",
  "along one string",
  "portamento",
  "lipped upward",
  "bent",
  "half-valve",
  "over the strings",
  "over the keys",
  "over the bars",
  "rip",
];

/** How far a glissando can go. */
export interface GlissandoLimit extends FigureSource {
  /** How it is made, for example `slide`. */
  readonly way: GlissandoWay;
  /** The most, in `unit`. */
  readonly most: number;
  /** Unit of `most`: semitones, white keys, natural bars, partials, pitch classes. */
  readonly unit: string;
  /** The quickest it is made, in semitones per second, where a figure is known. */
  readonly fastestSemitonesPerSecond: number | null;
  /** What else binds it, or empty. */
  readonly note: string;
}

/** A rule about effort and rest. */
export interface StaminaRule extends FigureSource {
  /** What is meant, for example `loud and high without rest`. */
  readonly rule: string;
  /** The figure, in `unit`. */
  readonly value: number;
  /** Unit: seconds, or share of the bars. */
  readonly unit: string;
  /** A remark, or empty. */
  readonly note: string;
}

const glissandi = figureTable("data/glissando_limits.csv", glissandoText, {
  way: oneOf(WAYS),
  most: aNumber,
  unit: someText,
  fastestSemitonesPerSecond: numberOrNothing,
  note: anyText,
}).nearest;

const stamina = figureTable("data/stamina.csv", staminaText, {
  rule: someText,
  value: aNumber,
  unit: someText,
  note: anyText,
}).eachOf("rule");

/**
 * How far a glissando can go on an instrument.
 *
 * @param instrument the instrument
 * @returns the limit, or null where none is known (then ask a player)
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { glissandoLimit } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(glissandoLimit(instrumentById("tenor trombone"))?.most, 6);
 * ```
 */
export function glissandoLimit(instrument: Instrument): GlissandoLimit | null {
  return glissandi(instrument)[0] ?? null;
}

/**
 * What tires a player of an instrument, and the rest that is due. Guides only: players and their teachers
 * decide; stop at pain; local rules on noise at work apply.
 *
 * @param instrument the instrument
 * @returns the rules; one's own stands before the family's
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { staminaRules } from "ripieno/instruments";
 * import { assert } from "@std/assert";
 * assert(staminaRules(instrumentById("trumpet in C")).some((rule) => rule.unit === "share of the bars"));
 * ```
 */
export function staminaRules(instrument: Instrument): readonly StaminaRule[] {
  return stamina(instrument);
}
