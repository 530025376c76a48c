/** How much each choice matters on average, over many settings. */
import { randomFrom } from "../../base/random_from.ts";
import {
  A_NUMBER,
  A_RECORD,
  A_SHARE_WITHIN,
  A_TEXT,
  A_WHOLE,
  checkArgument,
  checkOptions,
  type Kind,
  listOf,
} from "../../base/arguments.ts";
import { capitalised, counted, percent, threeDigits } from "../../base/words.ts";
import { mean, quantileSorted, sampleVariance, standardDeviation } from "simple-statistics";
import { InputError } from "../../base/errors.ts";
import { dynamicOf } from "../../score/dynamics.ts";
import type { Share } from "../../base/units.ts";
import { spearman } from "../rank_correlation.ts";

/** Options of {@linkcode effects}. */
export interface EffectsOptions {
  /** Column that is explained, for example `momentum`. */
  readonly of: string;
  /** Columns of choices; by default those of a sweep that take more than one value. */
  readonly by?: readonly string[];
  /** Share of the resampled means that an interval holds. @default {0.95} */
  readonly interval?: Share;
  /** Samples drawn for the intervals. @default {1000} */
  readonly samples?: number;
  /** Seed of the drawing. @default {1} */
  readonly seed?: number;
}

/** How much one choice matters. */
export interface ChoiceEffect {
  /** The choice. */
  readonly choice: string;
  /** How many values it takes. */
  readonly levels: number;
  /** Share of all differences between the settings that its values explain by themselves: eta squared. */
  readonly share: Share;
  /**
   * Share that is lost when the choice is left out of a sum of all choices. In a grid without gaps it is the same as
   * `share`; where settings are missing, it is what only this choice explains.
   */
  readonly ownShare: Share;
  /** Variance between its values over that within them, each over its degrees of freedom; null where none is left within. */
  readonly fRatio: number | null;
  /** The value with the highest mean. */
  readonly highest: string | number;
  /** That mean. */
  readonly highestMean: number;
  /** The value with the lowest mean. */
  readonly lowest: string | number;
  /** That mean. */
  readonly lowestMean: number;
  /** The one less the other, in the unit of what is explained. */
  readonly difference: number;
  /** That over the spread within the two (Cohen's d); null where nothing varies within them. */
  readonly standardisedDifference: number | null;
  /** Spearman's rank correlation with the order of the values; null for a choice without an order. */
  readonly rankCorrelation: number | null;
}

/** How one value of a choice does. */
export interface LevelEffect {
  /** The choice. */
  readonly choice: string;
  /** Its value. */
  readonly level: string | number;
  /** Settings that have it. */
  readonly settings: number;
  /** Mean over those settings. */
  readonly mean: number;
  /** Lower end of the mean's interval. */
  readonly low: number;
  /** Upper end. */
  readonly high: number;
  /** The mean less that of all settings. */
  readonly difference: number;
}

/** What {@linkcode effects} returns. */
export interface Effects {
  /** What is explained. */
  readonly of: string;
  /** All settings together. */
  readonly whole: {
    /** Settings that count. */
    readonly settings: number;
    /** Settings left out since they have no figure: refused ones, mostly. */
    readonly leftOut: number;
    /** Mean. */
    readonly mean: number;
    /** Standard deviation. */
    readonly standardDeviation: number;
    /** Share of the differences that a sum of all choices explains. */
    readonly together: Share;
    /** The rest: what hangs on how choices are combined. */
    readonly combinations: Share;
  };
  /** One row per choice, the one that explains most first. */
  readonly perChoice: readonly ChoiceEffect[];
  /** One row per choice and value, in the order they stand in the rows. */
  readonly perLevel: readonly LevelEffect[];
  /** What it comes to, in words. */
  readonly conclusion: string;
}

/** Columns of choices that a sweep has. */
const SWEEP_COLUMNS = ["sketch", "who", "figure", "articulation", "dynamic", "tempo", "sectionSize"];

/** Rounds of fitting a sum of choices at most; a grid without gaps needs one. */
const MOST_ROUNDS = 200;

/** A choice that explains less than this hardly matters. Cohen 1988, p. 283: 0.01 is a small effect. */
const HARDLY = 0.01;

const OPTIONS = {
  of: A_TEXT,
  by: listOf(A_TEXT, "a list of names"),
  interval: A_SHARE_WITHIN,
  samples: A_WHOLE,
  seed: A_NUMBER,
};
const ROWS: Kind = { ...listOf(A_RECORD, "a list of rows"), give: "Give the rows that sweep() returns" };

/** Settings as a table that what they are explained by can be looked up in. */
type SettingRow = Readonly<Record<string, unknown>>;

/**
 * How much each choice matters on average: of the differences between all settings, the share that its values explain;
 * means with intervals; the difference between its best and its worst value; for choices with an order (tempo, dynamic,
 * section size, other numbers) the rank correlation.
 *
 * A sweep is not a sample from a world of settings: its figures hold for the values that were tried, over the other
 * values that were tried. The intervals say how far a mean would move had other settings of the same grid been drawn
 * (percentiles of resampled means); nothing here is a test against chance.
 *
 * @param rows one row per setting, as from `sweep`; rows without the figure are left out and counted
 * @param options what is explained, by which choices
 * @returns flat rows per choice and per value, and a sentence
 * @throws {InputError} when a column is missing, nothing varies, or there are too few rows
 *
 * Sources: share explained, the correlation ratio of Pearson (1905), as eta squared in Cohen, Statistical Power Analysis
 * for the Behavioral Sciences, 2nd ed. (1988), p. 281; standardised difference, ibid. p. 67; intervals, Efron and
 * Tibshirani, An Introduction to the Bootstrap (1993), ch. 13; rank correlation, Spearman (1904). From memory.
 *
 * @example
 * ```ts
 * import { effects } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const rows = [
 *   { who: "horns", tempo: 60, momentum: 1 },
 *   { who: "horns", tempo: 120, momentum: 3 },
 *   { who: "violas", tempo: 60, momentum: 1.5 },
 *   { who: "violas", tempo: 120, momentum: 3.5 },
 * ];
 * const { perChoice } = effects(rows, { of: "momentum" });
 * assertEquals(perChoice.map((c) => c.choice), ["tempo", "who"]);
 * ```
 */
export function effects(rows: readonly object[], options: EffectsOptions): Effects {
  checkOptions("work out effects", options, OPTIONS);
  checkArgument("work out effects", rows, ROWS);
  const { of, interval = 0.95, samples = 1000, seed = 1 } = options;
  const counted = countedRows(rows as readonly SettingRow[], of);
  const values = counted.map((row) => Number(row[of]));
  const choices = choicesIn(counted, options.by);
  const grandMean = mean(values);
  const total = squares(values, grandMean);
  if (total === 0) {
    throw effectsError(
      `"${of}" is the same in all ${counted.length} settings`,
      "Try values that differ more",
    );
  }
  const leftBy = (list: readonly Choice[]) => unexplained(values, list, grandMean) / total;
  const combinations = leftBy(choices);
  const random = randomFrom(seed);
  const perLevel = choices.flatMap((choice) => levelsOf(choice, values, { samples, interval, random }));
  const perChoice = choices.map((choice): ChoiceEffect => {
    const others = choices.filter((c) => c !== choice);
    return {
      choice: choice.name,
      levels: choice.levels.length,
      ownShare: Math.max(0, leftBy(others) - combinations),
      ...betweenLevels(choice, values, total),
    };
  }).sort((a, b) => b.share - a.share);
  const whole = {
    settings: counted.length,
    leftOut: rows.length - counted.length,
    mean: grandMean,
    standardDeviation: standardDeviation(values),
    together: 1 - combinations,
    combinations,
  };
  return { of, whole, perChoice, perLevel, conclusion: inWords(of, whole, perChoice) };
}

/** The rows that have a figure for what is explained. */
function countedRows(rows: readonly SettingRow[], of: string): readonly SettingRow[] {
  const counted = rows.filter((row) => Number.isFinite(row[of]));
  if (counted.length >= 2) return counted;
  if (rows[0] !== undefined && !(of in rows[0])) {
    throw effectsError(
      `the rows have no column "${of}"`,
      `Their columns are ${Object.keys(rows[0]).join(", ")}`,
    );
  }
  throw effectsError(
    `only ${counted.length} of ${rows.length} rows have a figure for "${of}"`,
    "Give at least two settings that were not refused",
  );
}

/** How each value of a choice does. */
function levelsOf(choice: Choice, values: readonly number[], sampling: Sampling): readonly LevelEffect[] {
  const grandMean = mean([...values]);
  return groupsOf(choice, values).map((own, l) => {
    const [low, high] = resampled(own, sampling);
    const at = mean([...own]);
    return {
      choice: choice.name,
      level: choice.levels[l]!,
      settings: own.length,
      mean: at,
      low,
      high,
      difference: at - grandMean,
    };
  });
}

function groupsOf({ levels, levelOf }: Choice, values: readonly number[]): readonly number[][] {
  return levels.map((_, l) => values.filter((_, i) => levelOf[i] === l));
}

function effectsError(problem: string, remedy: string): InputError {
  return new InputError({ action: "work out effects", problem, remedy });
}

/** One choice as the rows have it. */
interface Choice {
  readonly name: string;
  readonly levels: readonly (string | number)[];
  /** Index of the level of each row. */
  readonly levelOf: Int32Array;
}

function choicesIn(
  rows: readonly SettingRow[],
  by: readonly string[] | undefined,
): readonly Choice[] {
  const names = by ?? SWEEP_COLUMNS.filter((name) => new Set(rows.map((row) => row[name])).size > 1);
  if (names.length === 0) {
    throw effectsError("no choice takes more than one value", "Name the columns of the choices in by");
  }
  return names.map((name) => {
    const missing = rows.find((row) => typeof row[name] !== "string" && typeof row[name] !== "number");
    if (missing !== undefined) {
      throw effectsError(
        name in missing
          ? `the column "${name}" holds ${String(missing[name])}`
          : `the rows have no column "${name}"`,
        `Their columns are ${Object.keys(missing).join(", ")}`,
      );
    }
    const levels = [...new Set(rows.map((row) => row[name] as string | number))];
    const indexOf = new Map(levels.map((level, i) => [level, i]));
    return {
      name,
      levels,
      levelOf: Int32Array.from(rows, (row) => indexOf.get(row[name] as string | number)!),
    };
  });
}

function squares(values: readonly number[], around: number): number {
  return values.reduce((sum, v) => sum + (v - around) ** 2, 0);
}

/** What a choice explains by itself, and its best and worst value. */
function betweenLevels(
  choice: Choice,
  values: readonly number[],
  total: number,
): Omit<ChoiceEffect, "choice" | "levels" | "ownShare"> {
  const groups = groupsOf(choice, values);
  const means = groups.map((own) => mean(own));
  const within = groups.reduce((sum, own, l) => sum + squares(own, means[l]!), 0);
  const between = Math.max(0, total - within);
  const inside = values.length - groups.length;
  const high = means.indexOf(Math.max(...means));
  const low = means.indexOf(Math.min(...means));
  const difference = means[high]! - means[low]!;
  const spread = pooledDeviation(groups[high]!, groups[low]!);
  const order = orderOf(choice.levels);
  return {
    share: between / total,
    // What is left of exact equality after summing is not variance.
    fRatio: groups.length < 2 || within <= 1e-12 * total
      ? null
      : between / (groups.length - 1) / (within / inside),
    highest: choice.levels[high]!,
    highestMean: means[high]!,
    lowest: choice.levels[low]!,
    lowestMean: means[low]!,
    difference,
    standardisedDifference: high === low || spread <= 1e-9 * Math.sqrt(total) ? null : difference / spread,
    rankCorrelation: order === undefined ? null : spearman([...choice.levelOf].map((l) => order[l]!), values),
  };
}

/** Standard deviation within two groups together. */
function pooledDeviation(a: readonly number[], b: readonly number[]): number {
  const free = a.length + b.length - 2;
  if (free <= 0) return 0;
  const of = (own: readonly number[]) => own.length < 2 ? 0 : sampleVariance([...own]) * (own.length - 1);
  return Math.sqrt((of(a) + of(b)) / free);
}

/** Places of the values in their order: numbers by size, dynamics by loudness; undefined where there is none. */
function orderOf(levels: readonly (string | number)[]): readonly number[] | undefined {
  const places = levels.map((level) => {
    if (typeof level === "number") return level;
    const marks = level.trim().split(/\s+to\s+/i).map((mark) => dynamicOf(mark));
    return marks.every((mark) => mark !== undefined) ? mean(marks as number[]) : undefined;
  });
  return places.every((p) => p !== undefined) ? places as number[] : undefined;
}

/** Sum of squares that a sum of choices leaves, fitted by going round the choices until nothing moves. */
function unexplained(values: readonly number[], choices: readonly Choice[], grandMean: number): number {
  const rest = Float64Array.from(values, (v) => v - grandMean);
  let before = squares(values, grandMean);
  const still = 1e-12 * before;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    for (const { levels, levelOf } of choices) {
      const sums = new Float64Array(levels.length);
      const counts = new Float64Array(levels.length);
      for (let i = 0; i < rest.length; i++) {
        sums[levelOf[i]!]! += rest[i]!;
        counts[levelOf[i]!]! += 1;
      }
      for (let i = 0; i < rest.length; i++) rest[i]! -= sums[levelOf[i]!]! / counts[levelOf[i]!]!;
    }
    const left = rest.reduce((sum, r) => sum + r * r, 0);
    if (before - left <= still) return left;
    before = left;
  }
  return before;
}

/** How means are drawn. */
interface Sampling {
  readonly samples: number;
  readonly interval: number;
  readonly random: () => number;
}

/** The middle of the means of samples drawn with replacement. */
function resampled(
  values: readonly number[],
  { samples, interval, random }: Sampling,
): readonly [number, number] {
  const means = Array.from({ length: samples }, () => {
    let sum = 0;
    for (let i = 0; i < values.length; i++) sum += values[Math.floor(random() * values.length)]!;
    return sum / values.length;
  }).sort((a, b) => a - b);
  return [quantileSorted(means, (1 - interval) / 2), quantileSorted(means, (1 + interval) / 2)];
}

function inWords(of: string, whole: Effects["whole"], perChoice: readonly ChoiceEffect[]): string {
  const measure = words(of);
  const share = (share: number) => share < 0.005 ? "less than 1 %" : percent(share);
  const [first, ...rest] = perChoice;
  const sentences = [
    `${capitalised(words(first!.choice))} matters most for ${measure}: it explains ${
      share(first!.share)
    } of the ` +
    `differences between ${whole.settings} settings (${threeDigits(first!.highestMean)} on average with ` +
    `${first!.highest}, ${threeDigits(first!.lowestMean)} with ${first!.lowest})`,
  ];
  const also = rest.filter((c) => c.share >= HARDLY);
  if (also.length > 0) {
    sentences.push(`Then ${also.map((c) => `${words(c.choice)} (${share(c.share)})`).join(", ")}`);
  }
  const hardly = rest.filter((c) => c.share < HARDLY).map((c) => words(c.choice));
  if (hardly.length > 0) {
    sentences.push(`${capitalised(hardly.join(" and "))} hardly matter${hardly.length === 1 ? "s" : ""}`);
  }
  if (whole.combinations >= HARDLY) {
    sentences.push(`${capitalised(share(whole.combinations))} hang on how the choices are combined`);
  }
  if (whole.leftOut > 0) {
    const [were, are] = whole.leftOut === 1 ? ["was", "is"] : ["were", "are"];
    sentences.push(
      `${
        counted(whole.leftOut, "setting")
      } ${were} refused or not measured and ${are} left out, so the shares ` +
        "overlap where choices cannot be combined freely",
    );
  }
  return `${sentences.join(". ")}.`;
}

/** A column's name in words: `sectionSize` becomes `section size`. */
function words(name: string): string {
  return name.replace(/([a-z])([A-Z])/g, (_, a: string, b: string) => `${a} ${b.toLowerCase()}`);
}
