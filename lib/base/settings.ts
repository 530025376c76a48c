import { refusals } from "./errors.ts";
import { inWords } from "./in_words.ts";
import { nearestFirst } from "./nearest_first.ts";

/** One named constant of a measure: its default, its unit, and where the figure comes from. */
export interface Constant {
  /** Default value. */
  readonly value: number;
  /** Unit in words, for example `seconds`; for a bare number what it is, for example `weight` or `factor`. */
  readonly unit: string;
  /** Published source, `common practice, no source`, or `model assumption`. */
  readonly source: string;
  /** What the constant does, in one clause. */
  readonly meaning: string;
  /** Lowest value that makes sense, where it is not what the unit says (see {@linkcode rangeOf}). */
  readonly least?: number;
  /** Value it has to be more than, for what is divided by. */
  readonly above?: number;
  /** Highest value that makes sense, where it is not what the unit says. */
  readonly most?: number;
}

/** Where the values of a constant make sense. */
export interface ConstantRange {
  /** Lowest value. */
  readonly least: number;
  /** True where the lowest value itself makes no sense. */
  readonly isLeastOut: boolean;
  /** Highest value; infinite where there is none. */
  readonly most: number;
}

/** Levels further from each other make no sense between instruments, in dB. */
const MOST_DECIBELS = 100;

/**
 * Where the values of a constant make sense: its own `least`, `above` and `most`, else what its unit says. A share lies
 * between 0 and 1, a level between -100 and 100 dB; seconds, bars, weights, factors and whatever else is counted or
 * measured are 0 or more.
 *
 * @param constant a row of a table of constants
 * @returns the range
 *
 * @example
 * ```ts
 * import { MOMENTUM_CONSTANTS, rangeOf } from "ripieno/measures";
 * import { assertEquals } from "@std/assert";
 * assertEquals(rangeOf(MOMENTUM_CONSTANTS.fusionSeconds), { least: 0, isLeastOut: true, most: Infinity });
 * ```
 */
export function rangeOf(constant: Constant): ConstantRange {
  refuseNoRecord("find where a constant makes sense", constant, ["value", "unit", "source", "meaning"]);
  const { unit, least, above, most } = constant;
  return {
    least: above ?? least ?? (unit === "dB" ? -MOST_DECIBELS : 0),
    isLeastOut: above !== undefined,
    most: most ?? (unit === "dB" ? MOST_DECIBELS : /^share\b/.test(unit) ? 1 : Infinity),
  };
}

/** A range as a remedy says it: `a number from 0 to 1`. */
function rangeInWords({ least, isLeastOut, most }: ConstantRange): string {
  if (most === Infinity) return isLeastOut ? `a number above ${least}` : `a number of ${least} or more`;
  return isLeastOut ? `a number above ${least} and up to ${most}` : `a number from ${least} to ${most}`;
}

/** A table of named constants. */
export type Constants = Readonly<Record<string, Constant>>;

/** The values of a table of constants, by name. */
export type Settings<T extends Constants> = { readonly [K in keyof T]: number };

/**
 * Lays a caller's options over a table of defaults.
 *
 * Nothing checks types in a notebook, so names and values are checked here: a misspelt option is refused
 * rather than ignored.
 *
 * @param name the function the options belong to, for the message
 * @param defaults the table of defaults
 * @param options the caller's values
 * @returns one number per constant
 * @throws {InputError} when an option is unknown, is not a finite number, or makes no sense (see {@linkcode rangeOf})
 *
 * @example
 * ```ts
 * import { applySettings } from "ripieno/measures";
 * import { assertEquals, assertThrows } from "@std/assert";
 * const table = {
 *   halfLifeBars: { value: 4, unit: "bars", source: "model assumption", meaning: "time to half" },
 * } as const;
 * assertEquals(applySettings("freshness", table, { halfLifeBars: 8 }), { halfLifeBars: 8 });
 * assertThrows(() => applySettings("freshness", table, { halfLife: 8 } as never), Error, "halfLifeBars");
 * ```
 */
export function applySettings<T extends Constants>(
  name: string,
  defaults: T,
  options: Partial<Settings<T>> = {},
): Settings<T> {
  const refuse = refusals(`compute ${name}`);
  if (typeof defaults !== "object" || defaults === null) {
    throw refuse(
      "there is no table of constants",
      "Give one, each constant with value, unit, source and meaning",
    );
  }
  refuseNoRecord(`compute ${name}`, options, Object.keys(defaults));
  const result: Record<string, number> = {};
  for (const [key, constant] of Object.entries(defaults)) result[key] = constant.value;
  for (const [key, value] of Object.entries(options)) {
    if (value === undefined) continue;
    const constant = Object.hasOwn(defaults, key) ? defaults[key] : undefined;
    if (!constant) {
      const known = nearestFirst(key, Object.keys(defaults)).join(", ");
      throw refuse(`it has no constant "${key}"`, `Its constants are ${known}`);
    }
    const { unit, value: usual } = constant;
    const range = rangeOf(constant);
    const give = `Give ${rangeInWords(range)}`;
    if (typeof value !== "number" || !Number.isFinite(value)) {
      const unquoted = typeof value === "string" ? ", without quotes" : "";
      throw refuse(`${key} is ${inWords(value)}`, `${give} (${unit})${unquoted}; the default is ${usual}`);
    }
    if (value < range.least || value > range.most || range.isLeastOut && value === range.least) {
      throw refuse(
        `${key} is ${value} (${unit}), which makes no sense`,
        `${give}; the default is ${usual}`,
      );
    }
    result[key] = value;
  }
  return result as Settings<T>;
}

/**
 * Refuses names a record should not have: nothing checks types in a notebook, and a misspelt option would
 * otherwise be ignored.
 */
export function refuseUnknown(action: string, record: unknown, known: readonly string[]): void {
  refuseNoRecord(action, record, known);
  const unknown = Object.keys(record as object).find((key) => !known.includes(key));
  if (unknown === undefined) return;
  const options = nearestFirst(unknown, known).join(", ");
  throw refusals(action)(`there is no option "${unknown}"`, `Its options are ${options}`);
}

/** Refuses what is not a record of named values. */
function refuseNoRecord(action: string, record: unknown, known: readonly string[]): void {
  if (typeof record === "object" && record !== null && !Array.isArray(record)) return;
  const kind = Array.isArray(record) ? "a list" : `a ${typeof record}`;
  const what = record === null ? "null" : record === undefined ? "missing" : kind;
  throw refusals(action)(`the options are ${what}`, `Give them by name: { ${known.join(", ")} }`);
}
