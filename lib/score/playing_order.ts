/** In which order the bars are played: repeats, endings, da capo, dal segno, coda, fine. */
import { A_SWITCH, BARS, checkArgument, checkOptions } from "../base/arguments.ts";
import { refusals } from "../base/errors.ts";
import type { Ticks } from "../base/units.ts";
import type { Bar, Score } from "./model.ts";

/** How repeats are followed. */
export interface PlayingOrderOptions {
  /** Whether repeats are taken again after a jump (D.C., D.S.); by default not, as is the custom. */
  readonly repeatsAfterJump?: boolean;
}

/** Bars after which a piece is taken to be wrongly notated: longer than any that is played. */
const MOST_BARS = 100_000;

/** For each bar in a bracket the greatest ending of the brackets that follow each other around it; 1 elsewhere. */
function lastEndings(bars: readonly Bar[]): readonly number[] {
  const last = new Array<number>(bars.length).fill(1);
  for (let from = 0; from < bars.length;) {
    let to = from, most = 1;
    for (; bars[to]?.repeat?.endings; to++) {
      for (const n of bars[to]!.repeat!.endings!) most = Math.max(most, n);
    }
    last.fill(most, from, to);
    from = to + 1;
  }
  return last;
}

/** For each bar the sign nearest before it, itself included; the first of the score where there is none before. */
function segnosBefore(bars: readonly Bar[]): readonly number[] {
  let nearest = Math.max(0, bars.findIndex((b) => b.repeat?.segno));
  return bars.map((b, i) => b.repeat?.segno ? nearest = i : nearest);
}

/** For each bar the next coda after it, or -1. */
function codasAfter(bars: readonly Bar[]): Int32Array {
  const next = new Int32Array(bars.length).fill(-1);
  for (let i = bars.length - 2; i >= 0; i--) next[i] = bars[i + 1]!.repeat?.coda ? i + 1 : next[i + 1]!;
  return next;
}

/**
 * Bars in the order in which they are played.
 *
 * A repeated stretch begins at its sign, or else after the repeat before it, or else at the beginning; repeats
 * inside repeats are not known to notation and are not looked for. A bracket's bars are played on the times
 * through that it names. D.C. and D.S. are followed once each, when the stretch they stand in has been played
 * as often as it is to be; after them repeats are left out and the last ending is taken, `Fine` ends, and `to
 * coda` leads to the next coda. Custom of the trade, no source.
 *
 * @param score the score
 * @param options whether repeats are taken after a jump
 * @returns indexes into `score.bars`, in playing order
 * @throws {InputError} when the repeats would make more than 100,000 bars
 *
 * @example
 * ```ts
 * import { readAbc } from "ripieno";
 * import { playingOrder } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const score = readAbc("X:1\nM:2/4\nL:1/4\nK:C\n|: C D |1 E F :|2 G A |]\n");
 * assertEquals(playingOrder(score), [0, 1, 0, 2]);
 * ```
 */
export function playingOrder(
  score: Pick<Score, "bars">,
  options: PlayingOrderOptions = {},
): readonly number[] {
  checkArgument("find the playing order", score, BARS);
  checkOptions("find the playing order", options, { repeatsAfterJump: A_SWITCH });
  const { bars } = score;
  const course: PlayedCourse = {
    bars,
    lastEnding: lastEndings(bars),
    segnoBefore: segnosBefore(bars),
    codaAfter: codasAfter(bars),
    repeatsAfterJump: options.repeatsAfterJump === true,
    jumpsTaken: new Set(),
    start: 0,
    pass: 1,
  };
  const order: number[] = [];
  for (let i = 0; i < bars.length;) {
    if (isLeftOut(course, i)) {
      i++;
      continue;
    }
    if (bars[i]!.repeat?.start && i !== course.start) enter(course, i);
    order.push(i);
    if (order.length > MOST_BARS) {
      const problem = `more than ${MOST_BARS} bars would be played`;
      const remedy = "Correct the repeat signs, or how often they are to be played";
      throw refusals("unfold the repeats", { bar: bars[i]!.number })(problem, remedy);
    }
    i = nextBar(course, i);
  }
  return order;
}

/**
 * Bar lines across which the music does not always go on as it stands on the page, in ticks: at the ends of repeats and before
 * endings, at jumps and where they lead. No note is held over them.
 *
 * @throws {InputError} when the repeats would make more than 100,000 bars
 */
export function seamsOf(score: Pick<Score, "bars">): ReadonlySet<Ticks> {
  if (score.bars.every((b) => b.repeat === undefined)) return NO_SEAMS;
  const order = playingOrder(score);
  return new Set(
    order.slice(1).flatMap((bar, i) => bar === order[i]! + 1 ? [] : [order[i]! + 1, bar])
      .flatMap((bar) => score.bars[bar]?.startTicks ?? []),
  );
}

const NO_SEAMS: ReadonlySet<Ticks> = new Set();

/** The bars, and where the players are: in which stretch, and which time through. */
interface PlayedCourse {
  readonly bars: readonly Bar[];
  readonly lastEnding: readonly number[];
  readonly segnoBefore: readonly number[];
  readonly codaAfter: Int32Array;
  readonly repeatsAfterJump: boolean;
  readonly jumpsTaken: Set<number>;
  start: number;
  pass: number;
}

/** Begins a stretch at a bar. */
function enter(course: PlayedCourse, bar: number): number {
  course.pass = 1;
  return course.start = bar;
}

function isRepeating({ repeatsAfterJump, jumpsTaken }: PlayedCourse): boolean {
  return repeatsAfterJump || jumpsTaken.size === 0;
}

/** Whether a bar stands under a bracket for another time through. */
function isLeftOut(course: PlayedCourse, bar: number): boolean {
  const last = course.lastEnding[bar]!;
  const now = isRepeating(course) ? Math.min(course.pass, last) : last;
  return course.bars[bar]!.repeat?.endings?.includes(now) === false;
}

/** The bar that is played after another; beyond the last where the piece ends. */
function nextBar(course: PlayedCourse, bar: number): number {
  const { bars, lastEnding, jumpsTaken } = course;
  const { times, endings, start, fine, toCoda, jump } = bars[bar]!.repeat ?? {};
  const passes = times !== undefined && endings ? lastEnding[bar]! : times ?? 1;
  if (isRepeating(course) && course.pass < passes) {
    course.pass++;
    return course.start;
  }
  // What follows the last time through begins a stretch of its own, unless further endings follow.
  const isLast = times !== undefined || (endings && !start);
  if (isLast && !bars[bar + 1]?.repeat?.endings) enter(course, bar + 1);
  if (jumpsTaken.size > 0 && fine) return bars.length;
  const coda = jumpsTaken.size > 0 && toCoda ? course.codaAfter[bar]! : -1;
  if (coda >= 0) return enter(course, coda);
  if (!jump || jumpsTaken.has(bar)) return bar + 1;
  jumpsTaken.add(bar);
  return enter(course, jump === "da capo" ? 0 : course.segnoBefore[bar]!);
}
