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

/** Greatest ending of the brackets that follow each other around a bar. */
function lastEnding(bars: readonly Bar[], at: number): number {
  let most = 1;
  for (let i = at; i >= 0 && bars[i]!.repeat?.endings; i--) {
    most = Math.max(most, ...bars[i]!.repeat!.endings!);
  }
  for (let i = at; i < bars.length && bars[i]!.repeat?.endings; i++) {
    most = Math.max(most, ...bars[i]!.repeat!.endings!);
  }
  return most;
}

/** Index of the sign nearest before a bar, itself included; the beginning where there is none. */
function segnoBefore(bars: readonly Bar[], at: number): number {
  for (let i = at; i >= 0; i--) if (bars[i]!.repeat?.segno) return i;
  return Math.max(0, bars.findIndex((b) => b.repeat?.segno));
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
      const last = lastEnding(bars, i);
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
      const times = signs.endings ? lastEnding(bars, i) : signs.times;
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
      const coda = bars.findIndex((b, k) => k > i && b.repeat?.coda);
      if (coda >= 0) {
        enter(coda);
        i = coda;
        continue;
      }
    }
    if (signs.jump && !jumpsTaken.has(i)) {
      jumpsTaken.add(i);
      jumped = true;
      i = signs.jump === "da capo" ? 0 : segnoBefore(bars, i);
      enter(i);
      continue;
    }
    i++;
  }
  return order;
}
