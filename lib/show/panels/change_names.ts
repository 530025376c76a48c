/** The names of change points above a chart along the bars: on lines beside their stalks, or one below the other. */
import type { FreshnessChange } from "../../measures/freshness/freshness_results.ts";
import { textWidth, wrapText } from "../drawing/text_width.ts";
import { numbersTogether } from "../drawing/words.ts";

/** A change point with the place of its name. */
interface NamedChange {
  readonly change: FreshnessChange;
  /** Its name, line by line. */
  readonly lines: readonly string[];
  /** Left edge of the name in pixels. */
  readonly left: number;
  /** Where the first line stands, counted from 0 at the top. */
  readonly line: number;
}

export interface NameRoom {
  /** Place of a bar line in pixels. */
  readonly xOf: (bar: number) => number;
  readonly left: number;
  readonly right: number;
  readonly size: number;
}

/** Lines of names above each other at most. */
const MOST_LINES = 12;
/** Changes that are tried at most, the largest. */
const MOST_CHANGES = 18;
/** Up to so many changes each may have two lines. */
const FEW_CHANGES = 6;
/** Width of a name at most, and what it needs right of its stalk, on several lines or on one, in pixels. */
const LONGEST = 420;
const LEAST = 110;
const LEAST_OF_MANY = 170;
/** A narrower name may have a third line. */
const SHORT = 240;

interface Placed extends NamedChange {
  readonly x: number;
  readonly to: number;
  /** Its lowest line, counted from 0 at the bottom, and its highest. */
  readonly level: number;
  readonly upper: number;
}

/**
 * Finds places for the names of change points, so that no name stands on another or on another's stalk. The largest come
 * first: one that finds no room beside all larger ones is left out.
 */
export function changeNames(changes: readonly FreshnessChange[], room: NameRoom): readonly NamedChange[] {
  const isFew = changes.length <= FEW_CHANGES;
  let named: readonly NamedChange[] = [];
  for (const change of largestFirst(changes).slice(0, MOST_CHANGES)) {
    named = placesFor([...named.map((n) => n.change), change], { ...room, isFew }) ?? named;
  }
  return named;
}

/** Places for the names of some changes, from the right; undefined where one of them finds none. */
function placesFor(
  changes: readonly FreshnessChange[],
  { xOf, left, right, size, isFew }: NameRoom & { readonly isFew: boolean },
): readonly NamedChange[] | undefined {
  const fromRight = changes.toSorted((a, b) => b.barIndex - a.barIndex);
  const isAtEnd = (c: FreshnessChange) => right - xOf(c.barIndex) < (isFew ? LEAST : LEAST_OF_MANY);
  const atEnd = fromRight.filter(isAtEnd);
  // A name too near the right end stands left of its stalk, above all others: those are placed first, and keep clear of it.
  const placed: Placed[] = [];
  for (const change of [...fromRight.filter((c) => !isAtEnd(c)), ...atEnd]) {
    const x = xOf(change.barIndex);
    const end = Math.min(right, ...atEnd.map((c) => xOf(c.barIndex) - 4).filter((other) => other > x));
    const wide = Math.min(LONGEST, isAtEnd(change) ? x - left - 4 : end - x - 4);
    const most = !isFew ? 1 : wide < SHORT ? 3 : 2;
    const lines = nameOf(change, { size, wide, most });
    const widest = Math.max(0, ...lines.map((line) => textWidth(line, size)));
    const from = isAtEnd(change) ? x - 4 - widest : x + 4;
    const name = { change, lines, left: from, line: 0, x, to: from + widest };
    const levels = Array.from({ length: MOST_LINES + 1 - lines.length }, (_, i) => i);
    const level = levels.find((l) => placed.every((p) => isApart({ ...name, ...reach(l, lines) }, p)));
    if (level === undefined || lines.length === 0) return undefined;
    placed.push({ ...name, ...reach(level, lines) });
  }
  const highest = Math.max(0, ...placed.map((p) => p.upper));
  return placed.map((p) => ({ ...p, line: highest - p.upper }));
}

/** Changes by their size, those of one size by bar. */
export function largestFirst(changes: readonly FreshnessChange[]): FreshnessChange[] {
  return changes.toSorted((a, b) => b.change - a.change || a.barIndex - b.barIndex);
}

/** The lines of a change's name, in the longest wording that fits; none where none does. */
export function nameOf(
  change: FreshnessChange,
  { size, wide, most }: { readonly size: number; readonly wide: number; readonly most: number },
): readonly string[] {
  const isFitting = (lines: readonly string[]) =>
    lines.length <= most && lines.every((line) => textWidth(line, size) <= wide + 1e-6);
  return wordingsOf(change.what).map((what) => wrapText(`${change.bar}: ${what}`, size, wide))
    .find(isFitting) ?? [];
}

/** Who does something: what stands before the verb of a change. */
const WHO = /^(.+?) (?=(?:takes?|joins?|keeps?|enters?|rests?|turns?|goe?s?) ?)/;

/**
 * What changes, numbered parts together, in ever fewer words: its last clauses left out, then all parts but one
 * counted, then all of them.
 */
function wordingsOf(what: string): readonly string[] {
  const clauses = numbersTogether(what).split("; ");
  const whole = clauses.map((_, i) => clauses.slice(0, clauses.length - i).join("; "));
  const [first = ""] = what.split("; ");
  const names = WHO.exec(first)?.[1]?.split(/ \+ |, | and /) ?? [];
  const count = names.reduce((sum, name) => sum + Number(/^(\d+) more$/.exec(name)?.[1] ?? 1), 0);
  if (count < 2) return whole;
  const says = (who: string) => first.replace(WHO, `${who} `);
  return [...whole, says(`${names[0]} and ${count - 1} more`), says(`${count} parts`)];
}

function reach(level: number, lines: readonly string[]): { readonly level: number; readonly upper: number } {
  return { level, upper: level + lines.length - 1 };
}

/** Whether neither name stands on the other, nor on its stalk. */
function isApart(one: Placed, other: Placed): boolean {
  const overlap = other.left - 8 < one.to && one.left < other.to + 8 &&
    other.level <= one.upper && one.level <= other.upper;
  const crosses = (name: Placed, stalk: Placed) =>
    stalk.x > name.left - 4 && stalk.x < name.to + 4 && name.level <= stalk.upper;
  return !overlap && !crosses(one, other) && !crosses(other, one);
}
