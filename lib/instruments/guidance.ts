/** Glissando limits and what tires a player. From `data/glissando_limits.csv` and `data/stamina.csv`. */
import glissandoText from "../../data/glissando_limits.csv" with { type: "text" };
import staminaText from "../../data/stamina.csv" with { type: "text" };
import { figureNames, type Instrument } from "./catalogue.ts";
import {
  aNumber,
  anyText,
  numberOrNothing,
  oneOf,
  readTable,
  someText,
  type Sourced,
  sourced,
} from "./data_table.ts";

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

const ways: readonly GlissandoWay[] = [
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
export interface GlissandoLimit extends Sourced {
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
export interface StaminaRule extends Sourced {
  /** What is meant, for example `loud and high without rest`. */
  readonly rule: string;
  /** The figure, in `unit`. */
  readonly value: number;
  /** Unit: seconds, or share of the bars. */
  readonly unit: string;
  /** A remark, or empty. */
  readonly note: string;
}

const glissandoRows = readTable(glissandoText, {
  file: "data/glissando_limits.csv",
  columns: {
    instrument: someText,
    way: oneOf(ways),
    most: aNumber,
    unit: someText,
    fastest_semitones_per_second: numberOrNothing,
    ...sourced,
    note: anyText,
  },
});

const staminaRows = readTable(staminaText, {
  file: "data/stamina.csv",
  columns: {
    instrument: someText,
    rule: someText,
    value: aNumber,
    unit: someText,
    ...sourced,
    note: anyText,
  },
});

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
  for (const name of figureNames(instrument)) {
    const row = glissandoRows.find((each) => each.instrument === name);
    if (row) {
      const { way, most, unit, note, source, confidence } = row;
      const fastestSemitonesPerSecond = row.fastest_semitones_per_second;
      return { way, most, unit, fastestSemitonesPerSecond, note, source, confidence };
    }
  }
  return null;
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
  const rules: StaminaRule[] = [];
  for (const name of figureNames(instrument)) {
    const have = new Set(rules.map((each) => each.rule));
    for (const row of staminaRows) {
      if (row.instrument !== name || have.has(row.rule)) continue;
      const { rule, value, unit, note, source, confidence } = row;
      rules.push({ rule, value, unit, note, source, confidence });
    }
  }
  return rules;
}
