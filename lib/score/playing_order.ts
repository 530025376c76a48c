/** In which order the bars are played: repeats, endings, da capo, dal segno, coda, fine. */
import { A_SWITCH, BARS, checkArgument, checkOptions } from "../base/arguments.ts";
import { InputError } from "../base/errors.ts";
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
  const order: number[] = [];
  const lastEnding = lastEndings(bars), segnoBefore = segnosBefore(bars), codaAfter = codasAfter(bars);
  const jumpsTaken = new Set<number>();
  let start = 0;
  let pass = 1;
  let jumped = false;
  const repeating = () => !jumped || options.repeatsAfterJump === true;
  const enter = (bar: number) => {
    start = bar;
    pass = 1;
  };
  for (let i = 0; i < bars.length;) {
    const signs = bars[i]!.repeat ?? {};
    if (signs.endings) {
      const last = lastEnding[i]!;
      const now = repeating() ? Math.min(pass, last) : last;
      if (!signs.endings.includes(now)) {
        i++;
        continue;
      }
    }
    if (signs.start && i !== start) enter(i);
    order.push(i);
    if (order.length > MOST_BARS) {
      throw new InputError({
        action: "unfold the repeats",
        problem: `more than ${MOST_BARS} bars would be played`,
        where: { bar: bars[i]!.number },
        remedy: "Correct the repeat signs, or how often they are to be played",
      });
    }
    if (signs.times !== undefined) {
      const times = signs.endings ? lastEnding[i]! : signs.times;
      if (repeating() && pass < times) {
        pass++;
        i = start;
        continue;
      }
      // What follows the last time through begins a stretch of its own, unless further endings follow.
      if (!bars[i + 1]?.repeat?.endings) enter(i + 1);
    } else if (signs.endings && !signs.start && !bars[i + 1]?.repeat?.endings) enter(i + 1);
    if (jumped && signs.fine) break;
    if (jumped && signs.toCoda) {
      const coda = codaAfter[i]!;
      if (coda >= 0) {
        enter(coda);
        i = coda;
        continue;
      }
    }
    if (signs.jump && !jumpsTaken.has(i)) {
      jumpsTaken.add(i);
      jumped = true;
      i = signs.jump === "da capo" ? 0 : segnoBefore[i]!;
      enter(i);
      continue;
    }
    i++;
  }
  return order;
}
