/**
 * What tells who leads over a phrase: how much of the lead falls to a part by the bar alone, to what doubles it, to both in
 * the bars around, and wherever its contour or its rhythm comes back.
 */
import type { Evidence } from "../clues/evidence.ts";
import type { RowsOf } from "../clues/rows.ts";
import type { Patterns } from "../features/recurrences.ts";
import { candidatesOf } from "./lead_course.ts";
import { logShares } from "./weights.ts";

/** A stretch of bars around a bar: how many units of the metre before it or after it they begin or end. */
interface BarsAround {
  readonly name: string;
  /** More units than this … */
  readonly from: number;
  /** … and at most so many. */
  readonly to: number;
  readonly before: boolean;
  readonly after: boolean;
}

/** The bars around, out to a bar, three bars, four and eight bars of 4/4. Model assumption. */
const BARS_AROUND: readonly BarsAround[] = [
  { name: "just before", from: 0, to: 4, before: true, after: false },
  { name: "just after", from: 0, to: 4, before: false, after: true },
  { name: "earlier", from: 4, to: 12, before: true, after: false },
  { name: "later", from: 4, to: 12, before: false, after: true },
  { name: "in the phrase", from: 0, to: 16, before: true, after: true },
  { name: "in the phrases around", from: 0, to: 32, before: true, after: true },
];

/** Patterns whose return is looked for. */
const PATTERNS = ["contour", "twoBars", "rhythm"] as const satisfies readonly (keyof Patterns)[];

/** Least share that is reckoned with, and the share of a part of which nothing is known. */
const [LEAST, UNKNOWN] = [0.0025, 0.05];

/** Names of what the phrase model weighs. */
export const PHRASE_CLUES: readonly string[] = [
  "share of the bar",
  "with its doublings",
  "best of its doublings",
  ...["", "with its doublings, "].flatMap((who) => BARS_AROUND.map(({ name }) => `${who}${name}`)),
  "in the whole score",
  ...PATTERNS.map((pattern) => `where its ${pattern} comes back`),
  "size of its group",
];

const logOf = (share: number) => Math.log(Math.max(LEAST, share));

/** Shares of the lead by each bar alone, per cell; 0 where a part cannot lead. */
export function sharesOfBars(values: Float64Array, evidence: Evidence): Float64Array {
  const shares = new Float64Array(values.length);
  for (const cells of candidatesOf(evidence)) {
    logShares(cells.map((i) => values[i]!)).forEach((x, k) => shares[cells[k]!] = Math.exp(x));
  }
  return shares;
}

/** First bar, and the bar after the last, of a stretch on one side of each bar; nothing where they are the same. */
function barsOf(
  units: readonly number[],
  { from, to }: BarsAround,
  step: 1 | -1,
): readonly (readonly [number, number])[] {
  const ordered = step === 1 ? units : units.toReversed();
  const ends = [0];
  for (const length of ordered) ends.push(ends.at(-1)! + length);
  let [first, end] = [0, 0];
  const found = ordered.map((_, b): readonly [number, number] => {
    const start = ends[b + 1]!;
    const isWithin = (bar: number, reach: number) => ends[bar + 1]! - start <= reach + 1e-9;
    first = Math.max(first, b + 1);
    while (from > 0 && first < units.length && isWithin(first, from)) first++;
    end = Math.max(end, first);
    while (end < units.length && isWithin(end, to)) end++;
    return [first, end];
  });
  return step === 1
    ? found
    : found.map(([f, e]) => [units.length - e, units.length - f] as const).toReversed();
}

/** Mean of a share over the bars of a stretch in which the part sounds; -1 where there are none. */
function aroundOf(shares: Float64Array, { scene: { parts, sounds }, units }: Evidence, stretch: BarsAround) {
  const found = new Float64Array(shares.length).fill(-1);
  const sides = [
    ...(stretch.before ? [barsOf(units, stretch, -1)] : []),
    ...(stretch.after ? [barsOf(units, stretch, 1)] : []),
  ];
  const [sums, lengths] = [new Float64Array(units.length + 1), new Float64Array(units.length + 1)];
  for (let p = 0; p < parts; p++) {
    units.forEach((length, b) => {
      const i = b * parts + p;
      sums[b + 1] = sums[b]! + (sounds[i] ? shares[i]! * length : 0);
      lengths[b + 1] = lengths[b]! + (sounds[i] ? length : 0);
    });
    units.forEach((_, b) => {
      let [sum, length] = [0, 0];
      for (const side of sides) {
        const [first, end] = side[b]!;
        sum += sums[end]! - sums[first]!;
        length += lengths[end]! - lengths[first]!;
      }
      if (length > 1e-9) found[b * parts + p] = sum / length;
    });
  }
  return found;
}

/** Mean, over the other bars in which a cell's pattern is heard, of the greatest share of those that play it; -1 for none. */
function whereItReturns(shares: Float64Array, patterns: Int32Array, { scene: { parts, sounds } }: Evidence) {
  /** Bars in which each pattern is heard, one after the other, with the greatest share there. */
  const heard: { readonly pattern: number; readonly bar: number; most: number }[] = [];
  const latest = new Int32Array(patterns.length).fill(-1);
  const placeOf = patterns.map((pattern, i) => {
    if (pattern < 0 || !sounds[i]) return -1;
    const bar = Math.floor(i / parts);
    if (heard[latest[pattern]!]?.bar !== bar) latest[pattern] = heard.push({ pattern, bar, most: 0 }) - 1;
    const place = heard[latest[pattern]!]!;
    place.most = Math.max(place.most, shares[i]!);
    return latest[pattern]!;
  });
  const [sums, bars] = [new Float64Array(patterns.length), new Int32Array(patterns.length)];
  for (const { pattern, most } of heard) {
    sums[pattern]! += most;
    bars[pattern]!++;
  }
  return shares.map((_, i) => {
    const place = heard[placeOf[i]!];
    if (place === undefined || bars[place.pattern]! < 2) return -1;
    return (sums[place.pattern]! - place.most) / (bars[place.pattern]! - 1);
  });
}

/**
 * What the lead over a phrase is weighed by, cell by cell.
 *
 * @param alone shares of the lead by each bar alone
 * @param evidence what the notes show
 * @returns rows of {@linkcode PHRASE_CLUES} of cells that sound
 */
export function phraseRowsOf(alone: Float64Array, evidence: Evidence): RowsOf {
  const { scene: { companions }, patterns } = evidence;
  const together = alone.map((x, i) => companions.unison[i]!.reduce((sum, j) => sum + alone[j]!, x));
  const best = alone.map((x, i) => companions.unison[i]!.reduce((most, j) => Math.max(most, alone[j]!), x));
  const whole: BarsAround = { name: "", from: 0, to: Infinity, before: true, after: true };
  const columns = [
    ...[alone, together].flatMap((shares) =>
      BARS_AROUND.map((stretch) => aroundOf(shares, evidence, stretch))
    ),
    aroundOf(alone, evidence, whole),
    ...PATTERNS.map((pattern) => whereItReturns(together, patterns[pattern], evidence)),
  ];
  const known = (x: number) => logOf(x < 0 ? UNKNOWN : x);
  const write = (row: Float64Array, i: number) => {
    let at = 0;
    for (const shares of [alone, together, best]) row[at++] = logOf(shares[i]!);
    for (const column of columns) row[at++] = known(column[i]!);
    row[at] = Math.log2(1 + companions.unison[i]!.length);
  };
  return { width: PHRASE_CLUES.length, write };
}
