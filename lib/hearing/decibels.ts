import { AN_ITERABLE, checkArgument } from "../base/arguments.ts";
import { refusal } from "./refusal.ts";

/**
 * Power of a level, in the unit the level is relative to.
 *
 * @param levelDb level in dB; `-Infinity` is silence
 * @returns `10 ** (levelDb / 10)`, 0 for silence
 *
 * @example
 * ```ts
 * import { powerOfDb } from "ripieno/hearing";
 * import { assertEquals } from "@std/assert";
 * assertEquals([powerOfDb(20), powerOfDb(-Infinity)], [100, 0]);
 * ```
 */
export function powerOfDb(levelDb: number): number {
  return 10 ** (levelDb / 10);
}

/**
 * Level of a power.
 *
 * @param power power, 0 or more
 * @returns level in dB; `-Infinity` for 0
 *
 * @example
 * ```ts
 * import { dbOfPower } from "ripieno/hearing";
 * import { assertEquals } from "@std/assert";
 * assertEquals([dbOfPower(100), dbOfPower(0)], [20, -Infinity]);
 * ```
 */
export function dbOfPower(power: number): number {
  return 10 * Math.log10(power);
}

/**
 * Level of several independent sounds together: their powers add.
 *
 * Two equal players are 3.01 dB louder than one, ten are 10 dB louder. A sound 10 dB under another raises the
 * sum by only 0.4 dB.
 *
 * @param levelsDb the levels, all relative to the same thing; `-Infinity` is silence
 * @returns the level of the sum; `-Infinity` when there is nothing
 * @throws {InputError} when a level is not a number
 *
 * @example
 * ```ts
 * import { sumDecibels } from "ripieno/hearing";
 * import { assertAlmostEquals, assertEquals } from "@std/assert";
 * assertAlmostEquals(sumDecibels([80, 80]), 83.0103, 1e-4);
 * assertEquals(sumDecibels([]), -Infinity);
 * ```
 */
export function sumDecibels(levelsDb: Iterable<number>): number {
  checkArgument("add levels", levelsDb, AN_ITERABLE);
  let sum = 0;
  for (const levelDb of levelsDb) {
    if (Number.isNaN(levelDb)) {
      throw refusal("add levels", "one of them is not a number", "Give levels in dB");
    }
    sum += powerOfDb(levelDb);
  }
  return dbOfPower(sum);
}

/**
 * How much louder several equal, independent sources are than one of them.
 *
 * @param count number of sources, more than 0; fractions allowed
 * @returns `10 log10 count`, in dB
 * @throws {InputError} when count is not more than 0
 *
 * @example
 * ```ts
 * import { equalSourcesDb } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * assertAlmostEquals(equalSourcesDb(16), 12.0412, 1e-4); // sixteen first violins against one
 * ```
 */
export function equalSourcesDb(count: number): number {
  if (!(count > 0)) throw refusal("add equal sources", `there are ${count}`, "Give a number above 0");
  return dbOfPower(count);
}
