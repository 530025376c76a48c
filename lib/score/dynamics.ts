/** The dynamic scale: names to numbers and back. */
import { A_DYNAMIC, A_TEXT, checkArgument } from "../base/arguments.ts";

/** Dynamic marks in rising order; their place in the list, from 1, is the number used in `Note.dynamic`. */
export const DYNAMIC_MARKS = ["ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"] as const;

/** A dynamic mark. */
export type DynamicMark = (typeof DYNAMIC_MARKS)[number];

/** Marks of a note that is struck and played on softly, with what it is played on at. */
export const STRONG_THEN_SOFT = /^(?:s?f+z?|rf)(p+)$/i;

/** Dynamic taken where a source gives none: mf. */
export const DEFAULT_DYNAMIC = 5;

/**
 * Number of a dynamic mark on the scale ppp = 1 … fff = 8. Beyond the ends the number is held.
 *
 * @param mark a mark such as `mf`; sforzato and similar marks count as the dynamic they are played at
 * @returns the number, or undefined when the word is not a dynamic
 *
 * @example
 * ```ts
 * import { dynamicOf } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * assertEquals([dynamicOf("p"), dynamicOf("ff"), dynamicOf("sfz"), dynamicOf("dolce")], [3, 7, 6, undefined]);
 * ```
 */
export function dynamicOf(mark: string): number | undefined {
  checkArgument("read the dynamic", mark, A_TEXT);
  const word = mark.trim().toLowerCase();
  const index = (DYNAMIC_MARKS as readonly string[]).indexOf(word);
  if (index >= 0) return index + 1;
  if (/^p{4,}$/.test(word)) return 1;
  if (/^f{4,}$/.test(word)) return 8;
  if (/^(sf|sfz|sffz|fz|rf|rfz)$/.test(word)) return 6;
  if (/^(fp|sfp|sfpp|pf|n)$/.test(word)) return word === "pf" ? 6 : word === "n" ? 1 : 3;
  return undefined;
}

/**
 * Nearest dynamic mark to a number on the scale.
 *
 * @param dynamic number, 1 ppp to 8 fff; held at the ends
 * @returns the mark
 *
 * @example
 * ```ts
 * import { dynamicMark } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * assertEquals([dynamicMark(3.2), dynamicMark(9)], ["p", "fff"]);
 * ```
 */
export function dynamicMark(dynamic: number): DynamicMark {
  checkArgument("name the dynamic", dynamic, A_DYNAMIC);
  const index = Math.min(DYNAMIC_MARKS.length, Math.max(1, Math.round(dynamic))) - 1;
  return DYNAMIC_MARKS[index]!;
}
