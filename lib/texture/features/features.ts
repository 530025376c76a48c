/** What a part's notes look like in and around a bar: the numbers recognition decides by. */
import { InputError } from "../../base/errors.ts";
import { A_SCORE, checkArgument } from "../../base/arguments.ts";
import { STRONG_THEN_SOFT } from "../../score/dynamics.ts";
import { notesByPart } from "../../score/build.ts";
import type { Bar, Note, Part, Score } from "../../score/model.ts";
import { isUnmeasuredTremolo, strokesIn } from "../../score/tremolo.ts";
import type { Seconds, Share } from "../../base/units.ts";
import { type FeltBar, feltBars, isOnBeat } from "./felt_time.ts";
import type { ScoreFrame } from "./score_frame.ts";
import { endsInTurn, withoutTurn } from "./trill_turns.ts";

/** Features of one part in one bar, read over a window that reaches into the neighbours of short bars. */
export interface CellFeatures {
  /** Bar index from 0. */
  readonly barIndex: number;
  /** Part index. */
  readonly part: number;
  /** Notes that begin in the bar, chords counted once. */
  readonly onsets: number;
  /** True when anything sounds in the bar, held over or begun. */
  readonly sounds: boolean;
  /** What the window lasts in units: beats of simple time, two thirds of a beat in compound time. */
  readonly windowUnits: number;
  /** Onsets of the window, chords counted once, slashes written out. */
  readonly strokes: number;
  /** Strokes per second of the time the part sounds. */
  readonly strokesPerSecond: number;
  /** Mean written length in quarter notes, slashed notes by their strokes. */
  readonly meanQuarters: number;
  /** The same in units: beats of simple time, two thirds of a beat in compound time. */
  readonly meanUnits: number;
  /** Share of the window in which the part sounds. */
  readonly coverage: Share;
  /** Shares of the steps from note to note: repeated pitch, one or two semitones, more. */
  readonly repeats: Share;
  /** Steps of one or two semitones. */
  readonly steps: Share;
  /** Steps of three semitones and more. */
  readonly leaps: Share;
  /** Longest stepwise chain in one direction, in notes. */
  readonly longestScale: number;
  /** Different pitches. */
  readonly distinctPitches: number;
  /** Semitones between lowest and highest. */
  readonly compass: number;
  /** Different note lengths. */
  readonly distinctLengths: number;
  /** Share of the sounding time under tremolo slashes. */
  readonly tremolo: Share;
  /** Share of the sounding time under slashes of an unmeasured tremolo. */
  readonly unmeasured: Share;
  /** Share of the sounding time under a trill sign. */
  readonly trill: Share;
  /** Whether the bar ends in the turn of a trill, whose notes are counted as part of it. */
  readonly turned: boolean;
  /** Share of the notes that begin off the beat as it is felt. */
  readonly offBeat: Share;
  /** Mean sounding pitch of the top line. */
  readonly meanPitch: number;
  /** Mean dynamic, 1 ppp to 8 fff. */
  readonly dynamic: number;
  /** Share of the onsets with more than one note. */
  readonly chordShare: Share;
  /** Share of the notes reached under a slur. */
  readonly slurred: Share;
  /** Quarter notes the bar lasts. */
  readonly barQuarters: number;
  /** When the bar's first note begins, in quarters from the bar line; 0 where none does. */
  readonly beginsAtQuarters: number;
  /** The same in units. */
  readonly barUnits: number;
  /** Seconds the bar lasts. */
  readonly barSeconds: Seconds;
  /** How time is felt in the bar. */
  readonly felt: FeltBar;
  /** Whether every note of the bar is struck and played on softly, by a mark such as sfp, under a crescendo. */
  readonly swelling: boolean;
  /** Notes of the part that begin in the bar, top notes of chords, in order. */
  readonly line: readonly Note[];
  /** The same of the bar before, this bar and the next. */
  readonly nearby: readonly Note[];
}

/** Shortest window: bars that last less are read together with their neighbours. Model assumption. */
export const WINDOW_UNITS = 4;

/** The top note of each chord, in order. */
function topLine(notes: readonly Note[]): readonly Note[] {
  if (notes.every((n, i) => n.onsetTicks !== notes[i - 1]?.onsetTicks)) return notes;
  const line: Note[] = [];
  for (const n of notes) {
    const last = line.at(-1);
    if (last && last.onsetTicks === n.onsetTicks) {
      if (n.soundingPitch > last.soundingPitch) line[line.length - 1] = n;
    } else line.push(n);
  }
  return line;
}

/**
 * Features of every bar and part.
 *
 * @param score the score
 * @returns one record per bar and part, by bar, then part
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { cellFeatures } from "ripieno/texture";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * assertEquals(cellFeatures(score).length, score.bars.length * score.parts.length);
 * ```
 */
export function cellFeatures(score: Score): readonly CellFeatures[] {
  checkArgument("read the texture", score, A_SCORE);
  return featuresOf(score, notesByPart(score));
}

/** The notes of a part that begin in each bar. */
function inBars(notes: readonly Note[], bars: readonly Bar[]): readonly (readonly Note[])[] {
  let from = 0;
  return bars.map((_, b) => {
    const end = bars[b + 1]?.startTicks ?? Infinity;
    let to = from;
    while (to < notes.length && notes[to]!.onsetTicks < end) to++;
    const own = notes.slice(from, to);
    from = to;
    return own;
  });
}

/** Features of every bar and part from the notes of each part that sound, in score order. */
export function featuresOf(
  score: ScoreFrame,
  notes: readonly (readonly Note[])[],
): readonly CellFeatures[] {
  const parts = score.parts.length;
  const felt = feltBars(score);
  const byPart = notes.map((own) => inBars(own, score.bars));
  const cells = score.bars.flatMap((_, b) => byPart.map((own) => own[b]!));
  const printed = cells.map(topLine);
  const lines = printed.map((line) => endsInTurn(line) ? withoutTurn(line) : line);
  const swells = score.parts.map(swellsFrom);
  const soundingUntil = new Array<number>(parts).fill(-1);
  return score.bars.flatMap((bar, b) => {
    const [from, to] = windowOf(score, felt, b);
    const windowTicks = ticksOf(score, from, to);
    return score.parts.map((_, part): CellFeatures => {
      const cell = b * parts + part;
      const line = lines[cell]!;
      const heldOver = soundingUntil[part]! > bar.startTicks;
      for (const n of cells[cell]!) {
        soundingUntil[part] = Math.max(soundingUntil[part]!, n.onsetTicks + n.durationTicks);
      }
      const window = from === to ? line : linesFrom(lines, { part, parts, from, to });
      const begins = line.length === 0 ? 0 : line[0]!.onsetTicks - bar.startTicks;
      const times = timesOf(window, { score, felt: felt[b]!, windowTicks });
      const moves = movesOf(window, score.ticksPerQuarter);
      const pitches = pitchesOf(window);
      return {
        barIndex: b,
        part,
        onsets: line.length,
        turned: line !== printed[cell],
        sounds: line.length > 0 || heldOver,
        barQuarters: bar.durationTicks / score.ticksPerQuarter,
        beginsAtQuarters: begins / score.ticksPerQuarter,
        barUnits: bar.durationTicks / felt[b]!.unitTicks,
        barSeconds: bar.durationTicks * felt[b]!.secondsPerTick,
        felt: felt[b]!,
        swelling: line.length > 0 && line.every((n) => swells[part]!.has(n.onsetTicks)),
        line,
        nearby: (lines[cell - parts] ?? []).concat(line, lines[cell + parts] ?? []),
        chordShare: chordShareOf(cells[cell]!, line.length),
        windowUnits: times.windowUnits,
        strokes: times.strokes,
        strokesPerSecond: times.strokesPerSecond,
        meanQuarters: times.meanQuarters,
        meanUnits: times.meanUnits,
        coverage: times.coverage,
        distinctLengths: times.distinctLengths,
        tremolo: times.tremolo,
        unmeasured: times.unmeasured,
        trill: times.trill,
        offBeat: times.offBeat,
        repeats: moves.repeats,
        steps: moves.steps,
        leaps: moves.leaps,
        longestScale: moves.longestScale,
        distinctPitches: pitches.distinctPitches,
        compass: pitches.compass,
        meanPitch: pitches.meanPitch,
        dynamic: pitches.dynamic,
        slurred: pitches.slurred,
      };
    });
  });
}

/** Where a part has such a mark with a crescendo after it. */
function swellsFrom({ writtenDynamics = [] }: Part): ReadonlySet<number> {
  const growing = new Set(writtenDynamics.filter((s) => s.kind === "crescendo").map((s) => s.onsetTicks));
  const struck = writtenDynamics.filter((s) => s.kind === "mark" && STRONG_THEN_SOFT.test(s.mark ?? ""));
  return new Set(struck.map((s) => s.onsetTicks).filter((at) => growing.has(at)));
}

/** Share of the onsets at which several notes begin. */
function chordShareOf(notes: readonly Note[], onsets: number): Share {
  let chords = 0;
  notes.forEach((n, i) => {
    const begins = i === 0 || notes[i - 1]!.onsetTicks !== n.onsetTicks;
    if (begins && notes[i + 1]?.onsetTicks === n.onsetTicks) chords++;
  });
  return chords / Math.max(1, onsets);
}

/** First and last bar of the window around a bar. */
function windowOf({ bars }: ScoreFrame, felt: readonly FeltBar[], bar: number): readonly [number, number] {
  const units = (b: number) => bars[b]!.durationTicks / felt[b]!.unitTicks;
  let [from, to] = [bar, bar];
  let length = units(bar);
  while (length < WINDOW_UNITS * 0.9 && (from > 0 || to + 1 < bars.length)) {
    if (to + 1 < bars.length) length += units(++to);
    if (length < WINDOW_UNITS * 1.5 && from > 0) length += units(--from);
  }
  return [from, to];
}

/** What a part has in some bars. */
function linesFrom(
  lines: readonly (readonly Note[])[],
  { part, parts, from, to }: {
    readonly part: number;
    readonly parts: number;
    readonly from: number;
    readonly to: number;
  },
): readonly Note[] {
  const found: Note[] = [];
  for (let bar = from; bar <= to; bar++) found.push(...lines[bar * parts + part]!);
  return found;
}

/** Ticks from one bar to the end of another. */
function ticksOf({ bars }: ScoreFrame, from: number, to: number): number {
  const last = bars[to]!;
  return last.startTicks + last.durationTicks - bars[from]!.startTicks;
}

/** How long and how often the notes of a line are struck, and where. */
function timesOf(
  line: readonly Note[],
  { score: { ticksPerQuarter }, felt, windowTicks }: {
    readonly score: ScoreFrame;
    readonly felt: FeltBar;
    readonly windowTicks: number;
  },
) {
  const { secondsPerTick } = felt;
  let sounding = 0, strokes = 0, tremolo = 0, unmeasured = 0, trill = 0, offBeat = 0;
  for (const n of line) {
    const count = strokesIn(n, ticksPerQuarter);
    strokes += count;
    sounding += n.durationTicks;
    if (n.tremoloSlashes > 0) tremolo += n.durationTicks;
    const perSecond = count / Math.max(1e-9, n.durationTicks * secondsPerTick);
    if (isUnmeasuredTremolo(n, perSecond)) unmeasured += n.durationTicks;
    if (n.trill) trill += n.durationTicks;
    if (!isOnBeat(n.onsetTicks, felt)) offBeat++;
  }
  const ofSounding = (ticks: number): Share => sounding === 0 ? 0 : ticks / sounding;
  const mean = strokes === 0 ? 0 : sounding / strokes;
  return {
    windowUnits: windowTicks / felt.unitTicks,
    strokes,
    strokesPerSecond: ofSounding(strokes) / secondsPerTick,
    meanQuarters: mean / ticksPerQuarter,
    meanUnits: mean / felt.unitTicks,
    coverage: Math.min(1, sounding / Math.max(1, windowTicks)),
    distinctLengths: distinctIn(line, (n) => n.durationTicks).length,
    tremolo: ofSounding(tremolo),
    unmeasured: ofSounding(unmeasured),
    trill: ofSounding(trill),
    offBeat: offBeat / Math.max(1, line.length),
  };
}

/** The different values the notes of a line have, as they come. */
export function distinctIn(line: readonly Note[], of: (note: Note) => number): readonly number[] {
  const values: number[] = [];
  for (const note of line) {
    const value = of(note);
    if (!values.includes(value)) values.push(value);
  }
  return values;
}

/** How a line goes from note to note. */
function movesOf(line: readonly Note[], ticksPerQuarter: number) {
  let repeats = 0, steps = 0, leaps = 0;
  let longestScale = line.length > 0 ? 1 : 0;
  let chain = 1, direction = 0;
  for (let i = 0; i < line.length; i++) {
    const note = line[i]!;
    repeats += strokesIn(note, ticksPerQuarter) - 1;
    if (i === 0) continue;
    const interval = note.soundingPitch - line[i - 1]!.soundingPitch;
    const isStep = interval !== 0 && Math.abs(interval) <= 2;
    if (interval === 0) repeats++;
    else if (isStep) steps++;
    else leaps++;
    const sign = Math.sign(interval);
    chain = isStep && (sign === direction || chain === 1) ? chain + 1 : isStep ? 2 : 1;
    direction = sign;
    longestScale = Math.max(longestScale, chain);
  }
  const moves = Math.max(1, repeats + steps + leaps);
  return { repeats: repeats / moves, steps: steps / moves, leaps: leaps / moves, longestScale };
}

/** Pitches and loudness of a line. */
function pitchesOf(line: readonly Note[]) {
  let lowest = Infinity, highest = -Infinity, pitch = 0, dynamic = 0, slurred = 0;
  for (const n of line) {
    lowest = Math.min(lowest, n.soundingPitch);
    highest = Math.max(highest, n.soundingPitch);
    pitch += n.soundingPitch;
    dynamic += n.dynamic;
    if (n.slurred) slurred++;
  }
  const count = Math.max(1, line.length);
  return {
    distinctPitches: distinctIn(line, (n) => n.soundingPitch).length,
    compass: line.length === 0 ? 0 : highest - lowest,
    meanPitch: pitch / count,
    dynamic: dynamic / count,
    slurred: slurred / count,
  };
}

/**
 * The features to go by: the caller's own, or else those of the score.
 *
 * @param action what is being done, as a verb phrase
 * @param score the score
 * @param features the caller's, if any
 * @returns the features of every bar and part
 * @throws {InputError} when there is no score, or the features are not as many as its bars and parts ask for
 */
export function givenFeatures(
  action: string,
  score: Score,
  features: readonly CellFeatures[] | undefined,
): readonly CellFeatures[] {
  if (features === undefined) return cellFeatures(score);
  checkArgument(action, score, A_SCORE);
  const expected = score.bars.length * score.parts.length;
  if (features.length === expected) return features;
  throw new InputError({
    action,
    problem: `there are features of ${features.length} cells, and the score has ${expected}`,
    remedy: "Give what cellFeatures(score) gives for this score, or leave them out",
  });
}

/**
 * Whether notes of definite pitch begin in the bar.
 *
 * @param features of one part in one bar
 * @returns false for rests and for percussion without pitch
 */
export function isPitched(features: CellFeatures): boolean {
  return features.line.some((n) => !n.unpitched);
}
