/** Where notes stand so close and so low that the chord thickens. */
import { A_NUMBER, checkOptions, oneOf } from "../../base/arguments.ts";
import { soundingNotes } from "../../score/build.ts";
import { lowIntervalLimit, type LowIntervalTable } from "../../score/low_interval_limit.ts";
import type { Note, Score } from "../../score/model.ts";
import { nameOfSpelling, spellingOf } from "../../score/spelled_name.ts";
import { barBeatOf, barIndexOf, clockOf } from "../../score/time.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import { partsInWords } from "../layer_words.ts";
import { type BarsToHear, checkedBars } from "../balance/listening.ts";
import type { LowInterval } from "./chord_results.ts";

/** Constants of {@linkcode lowIntervals}, with their units and sources. */
export const LOW_INTERVAL_CONSTANTS = {
  leastSeconds: {
    value: 0.5,
    unit: "seconds",
    source: "model assumption: a chord has to stand before it can thicken",
    meaning: "how long two notes stand together at least to be counted",
  },
  gapBars: {
    value: 1,
    unit: "bars",
    source: "model assumption",
    meaning: "places of the same parts this near to each other are one row",
  },
} as const;

/** Options of {@linkcode lowIntervals}. */
export interface LowIntervalsOptions extends BarsToHear {
  /** Which table of limits. Default `glossary`, the one with a published source. */
  readonly table?: LowIntervalTable;
  /** Constants that differ from {@linkcode LOW_INTERVAL_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof LOW_INTERVAL_CONSTANTS>>;
}

/** Two neighbouring pitches that stand too close for a while. */
interface IntervalPlace {
  readonly from: number;
  readonly to: number;
  readonly low: number;
  readonly high: number;
  /** The interval in words, with its notes. */
  readonly interval: string;
  readonly lowerPart: string;
  readonly upperPart: string;
}

/** Intervals by staff steps, each with the semitones it has where it is major or perfect. */
const INTERVALS = [
  { name: "unison", semitones: 0, perfect: true },
  { name: "second", semitones: 2 },
  { name: "third", semitones: 4 },
  { name: "fourth", semitones: 5, perfect: true },
  { name: "fifth", semitones: 7, perfect: true },
  { name: "sixth", semitones: 9 },
  { name: "seventh", semitones: 11 },
  { name: "octave", semitones: 12, perfect: true },
];
const LETTERS = "CDEFGAB";

/** An interval as its notes are spelt. For example `minor third C#2–E2`. */
function inWords(score: Score, low: Note, high: Note): string {
  const below = spellingOf(score, low), above = spellingOf(score, high);
  const size = Math.round(high.soundingPitch) - Math.round(low.soundingPitch);
  const steps = LETTERS.indexOf(above.step) - LETTERS.indexOf(below.step) +
    7 * (above.octave - below.octave);
  const interval = INTERVALS[steps];
  const quality = interval && qualityOf(size - interval.semitones, interval.perfect === true);
  const name = size === 6
    ? "tritone"
    : quality === undefined
    ? `interval of ${size} semitones`
    : `${quality}${interval!.name}`;
  return `${name} ${nameOfSpelling(below)}–${nameOfSpelling(above)}`;
}

/** What an interval is called by what it has over the major or perfect one. */
function qualityOf(more: number, isPerfect: boolean): string | undefined {
  if (more === 1) return "augmented ";
  if (isPerfect) return more === 0 ? "" : more === -1 ? "diminished " : undefined;
  return more === 0 ? "major " : more === -1 ? "minor " : more === -2 ? "diminished " : undefined;
}

/** No limit of any table lies higher, an upper note included. */
const HIGHEST = 64;

const OPTIONS = {
  fromBarIndex: A_NUMBER,
  toBarIndex: A_NUMBER,
  table: oneOf(["glossary", "classroom"]),
  constants: undefined,
};

/**
 * Places where two neighbouring notes of a chord stand closer than the table of low-interval limits allows at that
 * depth. Drums and other percussion are left out, and so is what stands together only for a moment.
 *
 * @param score the score
 * @param options bars, table and constants
 * @returns a row for each stretch of the same parts, in order
 * @throws {InputError} when the bars are not in the score, or an option or constant is unknown
 *
 * Source: the tables in `data/low_intervals.csv`, with their sources.
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { lowIntervals } from "ripieno/measures";
 * import { assert } from "@std/assert";
 * assert(lowIntervals(demoScore()).every((row) => row.lowerPitch < row.limitPitch));
 * ```
 */
export function lowIntervals(score: Score, options: LowIntervalsOptions = {}): readonly LowInterval[] {
  const action = "look for low intervals";
  checkOptions(action, options, OPTIONS);
  const bars = checkedBars(action, score, options);
  const settings = applySettings("low intervals", LOW_INTERVAL_CONSTANTS, options.constants);
  const table = options.table ?? "glossary";
  const clock = clockOf(score);
  const places = placesOf(score, bars, table)
    .filter((p) => clock(p.to) - clock(p.from) >= settings.leastSeconds - 1e-9);
  const groups: IntervalPlace[][] = [];
  for (const place of places) {
    const group = groups.findLast((g) =>
      g[0]!.lowerPart === place.lowerPart && g[0]!.upperPart === place.upperPart
    );
    const gap = group ? barIndexOf(score, place.from) - barIndexOf(score, group.at(-1)!.to - 1) : Infinity;
    if (group && gap <= settings.gapBars) group.push(place);
    else groups.push([place]);
  }
  return groups.map((group) => rowOf(group, { score, table, clock }));
}

function rowOf(
  group: readonly IntervalPlace[],
  { score, table, clock }: {
    readonly score: Score;
    readonly table: LowIntervalTable;
    readonly clock: (ticks: number) => number;
  },
): LowInterval {
  const below = (p: IntervalPlace) => lowIntervalLimit(p.high - p.low, table) - p.low;
  const deepest = group.reduce((a, b) => below(b) > below(a) ? b : a);
  const first = barBeatOf(score, group[0]!.from);
  const semitones = deepest.high - deepest.low;
  return {
    fromBarIndex: first.barIndex,
    toBarIndex: barIndexOf(score, group.at(-1)!.to - 1),
    bar: first.bar,
    beat: first.beat,
    lowerPart: deepest.lowerPart,
    upperPart: deepest.upperPart,
    lowerPitch: deepest.low,
    upperPitch: deepest.high,
    semitones,
    interval: deepest.interval,
    limitPitch: lowIntervalLimit(semitones, table),
    below: below(deepest),
    seconds: group.reduce((sum, p) => sum + clock(p.to) - clock(p.from), 0),
    places: group.length,
  };
}

/** All pairs that stand too close, each for as long as both notes are held by the same parts. */
function placesOf(
  score: Score,
  { fromBarIndex, toBarIndex }: { readonly fromBarIndex: number; readonly toBarIndex: number },
  table: LowIntervalTable,
): readonly IntervalPlace[] {
  const isPitched = score.parts.map((p) => {
    const { unpitched, family } = instrumentById(p.instrument);
    return !unpitched && family !== "percussion";
  });
  const first = score.bars[fromBarIndex]?.startTicks ?? 0;
  const last = score.bars[toBarIndex];
  const end = last === undefined ? 0 : last.startTicks + last.durationTicks;
  const notes = soundingNotes(score).filter((n) =>
    isPitched[n.part] && !n.unpitched && n.soundingPitch < HIGHEST && n.onsetTicks < end &&
    n.onsetTicks + n.durationTicks > first
  );
  const times = [...new Set(notes.flatMap((n) => [n.onsetTicks, n.onsetTicks + n.durationTicks]))]
    .map((t) => Math.max(first, Math.min(end, t))).sort((a, b) => a - b);
  const done: IntervalPlace[] = [];
  let open = new Map<string, IntervalPlace>();
  let next = 0;
  let sounding: Note[] = [];
  for (let i = 0; i + 1 < times.length; i++) {
    const [from, to] = [times[i]!, times[i + 1]!];
    if (to <= from) continue;
    while (next < notes.length && notes[next]!.onsetTicks <= from) sounding.push(notes[next++]!);
    sounding = sounding.filter((n) => n.onsetTicks + n.durationTicks > from);
    const here = new Map<string, IntervalPlace>();
    for (const pair of closePairs(score, sounding, table)) {
      const key = Object.values(pair).join("|");
      const before = open.get(key);
      here.set(key, { ...pair, from: before?.to === from ? before.from : from, to });
    }
    for (const [key, place] of open) if (here.get(key)?.from !== place.from) done.push(place);
    open = here;
  }
  done.push(...open.values());
  return done.sort((a, b) => a.from - b.from || a.low - b.low);
}

/** Neighbouring pitches of a chord that stand too close, with the parts that play them. */
function closePairs(
  score: Score,
  sounding: readonly Note[],
  table: LowIntervalTable,
): readonly Omit<IntervalPlace, "from" | "to">[] {
  const parts = Map.groupBy(sounding, (n) => Math.round(n.soundingPitch));
  const pitches = [...parts.keys()].sort((a, b) => a - b);
  const names = (pitch: number) => partsInWords(score, parts.get(pitch)!.map((n) => n.part), 3);
  return pitches.flatMap((low, i) => {
    const high = pitches[i + 1];
    if (high === undefined || low >= lowIntervalLimit(high - low, table)) return [];
    return [{
      low,
      high,
      interval: inWords(score, parts.get(low)![0]!, parts.get(high)![0]!),
      lowerPart: names(low),
      upperPart: names(high),
    }];
  });
}
