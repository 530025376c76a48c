/** What a part's notes look like in and around a bar: the numbers recognition decides by. */
import { InputError } from "../../base/errors.ts";
import { A_SCORE, checkArgument } from "../../base/arguments.ts";
import { notesByBar, soundingNotes } from "../../score/build.ts";
import type { Note, Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { isUnmeasuredTremolo, strokeCount } from "../../score/tremolo.ts";
import type { Seconds, Share } from "../../base/units.ts";

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
  /** Quarter notes of the window. */
  readonly windowQuarters: number;
  /** Onsets of the window, chords counted once, slashes written out. */
  readonly strokes: number;
  /** Strokes per quarter note of the time the part sounds. */
  readonly strokesPerQuarter: number;
  /** Strokes per second of the time the part sounds. */
  readonly strokesPerSecond: number;
  /** Mean written length in quarter notes, slashed notes by their strokes. */
  readonly meanQuarters: number;
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
  /** Share of the strokes that fall on neither a quarter nor a bar line. */
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
  /** Seconds the bar lasts. */
  readonly barSeconds: Seconds;
  /** Notes of the part that begin in the bar, top notes of chords, in order. */
  readonly line: readonly Note[];
  /** The same of the bar before, this bar and the next. */
  readonly nearby: readonly Note[];
}

/** Shortest window, in quarter notes: bars shorter than this are read together with their neighbours. Model assumption. */
export const WINDOW_QUARTERS = 4;

/** The top note of each chord, in order. */
function topLine(notes: readonly Note[]): readonly Note[] {
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
  const parts = score.parts.length;
  const clock = clockOf(score);
  const byBar = notesByBar(score, soundingNotes(score));
  const cells: Note[][] = Array.from({ length: score.bars.length * parts }, () => []);
  byBar.forEach((notes, b) => notes.forEach((n) => cells[b * parts + n.part]!.push(n)));
  const lines = cells.map(topLine);
  const features: CellFeatures[] = [];
  const soundingUntil = new Array<number>(parts).fill(-1);
  score.bars.forEach((bar, b) => {
    const barSeconds = clock(bar.startTicks + bar.durationTicks) - clock(bar.startTicks);
    const [from, to] = windowOf(score, b);
    for (let p = 0; p < parts; p++) {
      const line = lines[b * parts + p]!;
      const heldOver = soundingUntil[p]! > bar.startTicks;
      for (const n of cells[b * parts + p]!) {
        soundingUntil[p] = Math.max(soundingUntil[p]!, n.onsetTicks + n.durationTicks);
      }
      const window: Note[] = [];
      for (let w = from; w <= to; w++) window.push(...lines[w * parts + p]!);
      features.push({
        barIndex: b,
        part: p,
        onsets: line.length,
        sounds: line.length > 0 || heldOver,
        barQuarters: bar.durationTicks / score.ticksPerQuarter,
        beginsAtQuarters: line.length === 0
          ? 0
          : (line[0]!.onsetTicks - bar.startTicks) / score.ticksPerQuarter,
        barSeconds,
        line,
        nearby: [...lines[(b - 1) * parts + p] ?? [], ...line, ...lines[(b + 1) * parts + p] ?? []],
        chordShare: chordShareOf(cells[b * parts + p]!, line.length),
        ...lineFeatures(window, score, from, to, barSeconds / Math.max(1, bar.durationTicks)),
      });
    }
  });
  return features;
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
function windowOf(score: Score, bar: number): [number, number] {
  const target = WINDOW_QUARTERS * score.ticksPerQuarter;
  let [from, to] = [bar, bar];
  let length = score.bars[bar]!.durationTicks;
  while (length < target * 0.9 && (from > 0 || to + 1 < score.bars.length)) {
    if (to + 1 < score.bars.length) length += score.bars[++to]!.durationTicks;
    if (length < target * 1.5 && from > 0) length += score.bars[--from]!.durationTicks;
  }
  return [from, to];
}

function lineFeatures(
  line: readonly Note[],
  score: Score,
  from: number,
  to: number,
  secondsPerTick: number,
): Omit<
  CellFeatures,
  | "barIndex"
  | "part"
  | "onsets"
  | "sounds"
  | "barQuarters"
  | "beginsAtQuarters"
  | "barSeconds"
  | "line"
  | "nearby"
  | "chordShare"
> {
  const quarter = score.ticksPerQuarter;
  const lastBar = score.bars[to]!;
  const windowTicks = lastBar.startTicks + lastBar.durationTicks - score.bars[from]!.startTicks;
  let soundingTicks = 0;
  let strokes = 0;
  let tremoloTicks = 0;
  let unmeasuredTicks = 0;
  let trillTicks = 0;
  let offBeat = 0;
  let pitchSum = 0;
  let dynamicSum = 0;
  let slurred = 0;
  let [repeats, steps, leaps] = [0, 0, 0];
  let longestScale = line.length > 0 ? 1 : 0;
  let chain = 1;
  let direction = 0;
  const pitches = new Set<number>();
  const lengths = new Set<number>();
  line.forEach((n, i) => {
    const count = strokeCount(n, quarter);
    strokes += count;
    soundingTicks += n.durationTicks;
    if (n.tremoloSlashes > 0) tremoloTicks += n.durationTicks;
    const perSecond = count / Math.max(1e-9, n.durationTicks * secondsPerTick);
    if (isUnmeasuredTremolo(n, perSecond)) unmeasuredTicks += n.durationTicks;
    if (n.trill) trillTicks += n.durationTicks;
    if (n.onsetTicks % quarter !== 0) offBeat++;
    pitchSum += n.soundingPitch;
    dynamicSum += n.dynamic;
    if (n.slurred) slurred++;
    pitches.add(n.soundingPitch);
    lengths.add(n.durationTicks);
    repeats += count - 1;
    const before = line[i - 1];
    if (!before) return;
    const interval = n.soundingPitch - before.soundingPitch;
    if (interval === 0) repeats++;
    else if (Math.abs(interval) <= 2) steps++;
    else leaps++;
    const sign = Math.sign(interval);
    const stepwise = interval !== 0 && Math.abs(interval) <= 2;
    chain = stepwise && (sign === direction || chain === 1) ? chain + 1 : stepwise ? 2 : 1;
    direction = sign;
    longestScale = Math.max(longestScale, chain);
  });
  const moves = Math.max(1, repeats + steps + leaps);
  const count = Math.max(1, line.length);
  const all = [...pitches];
  return {
    windowQuarters: windowTicks / quarter,
    strokes,
    strokesPerQuarter: soundingTicks === 0 ? 0 : strokes / (soundingTicks / quarter),
    strokesPerSecond: soundingTicks === 0 ? 0 : strokes / (soundingTicks * secondsPerTick),
    meanQuarters: strokes === 0 ? 0 : soundingTicks / quarter / strokes,
    coverage: Math.min(1, soundingTicks / Math.max(1, windowTicks)),
    repeats: repeats / moves,
    steps: steps / moves,
    leaps: leaps / moves,
    longestScale,
    distinctPitches: pitches.size,
    compass: all.length === 0 ? 0 : Math.max(...all) - Math.min(...all),
    distinctLengths: lengths.size,
    tremolo: soundingTicks === 0 ? 0 : tremoloTicks / soundingTicks,
    unmeasured: soundingTicks === 0 ? 0 : unmeasuredTicks / soundingTicks,
    trill: soundingTicks === 0 ? 0 : trillTicks / soundingTicks,
    offBeat: offBeat / count,
    meanPitch: pitchSum / count,
    dynamic: dynamicSum / count,
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
