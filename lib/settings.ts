import { InputError } from "./errors.ts";

/** One named constant of a measure: its default, its unit, and where the figure comes from. */
export interface Constant {
  /** Default value. */
  readonly value: number;
  /** Unit in words, for example `seconds`; `1` where there is none. */
  readonly unit: string;
  /** Published source, `common practice, no source`, or `model assumption`. */
  readonly source: string;
  /** What the constant does, in one clause. */
  readonly meaning: string;
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
 * @throws {InputError} when an option is unknown or is not a finite number
 *
 * @example
 * ```ts
 * import { applySettings } from "ripieno";
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
  if (typeof defaults !== "object" || defaults === null) {
    throw new InputError({
      action: `compute ${name}`,
      problem: "there is no table of constants",
      remedy: "Give one, each constant with value, unit, source and meaning",
    });
  }
  refuseNoRecord(`compute ${name}`, options, Object.keys(defaults));
  const result: Record<string, number> = {};
  for (const [key, constant] of Object.entries(defaults)) result[key] = constant.value;
  for (const [key, value] of Object.entries(options)) {
    if (value === undefined) continue;
    if (!Object.hasOwn(defaults, key)) {
      throw new InputError({
        action: `compute ${name}`,
        problem: `it has no constant "${key}"`,
        remedy: `Its constants are ${Object.keys(defaults).join(", ")}`,
      });
    }
    if (typeof value !== "number" || !Number.isFinite(value)) {
      throw new InputError({
        action: `compute ${name}`,
        problem: `${key} is ${String(value)}`,
        remedy: `Give a finite number (${defaults[key]?.unit}); the default is ${defaults[key]?.value}`,
      });
    }
    result[key] = value;
  }
  return result as Settings<T>;
}

/**
 * Refuses names a record should not have: nothing checks types in a notebook, and a misspelt option would
 * otherwise be ignored.
 *
 * @param action what is being done, as a verb phrase
 * @param record the caller's options
 * @param known the names it may have
 * @throws {InputError} when it is not a record, or has another name
 */
export function refuseUnknown(action: string, record: unknown, known: readonly string[]): void {
  refuseNoRecord(action, record, known);
  const unknown = Object.keys(record as object).find((key) => !known.includes(key));
  if (unknown !== undefined) {
    throw new InputError({
      action,
      problem: `there is no option "${unknown}"`,
      remedy: `Its options are ${known.join(", ")}`,
    });
  }
}

/** Refuses what is not a record of named values. */
function refuseNoRecord(action: string, record: unknown, known: readonly string[]): void {
  if (typeof record === "object" && record !== null && !Array.isArray(record)) return;
  const what = record === null
    ? "null"
    : record === undefined
    ? "missing"
    : Array.isArray(record)
    ? "a list"
    : `a ${typeof record}`;
  throw new InputError({
    action,
    problem: `the options are ${what}`,
    remedy: `Give them by name: { ${known.join(", ")} }`,
  });
}
