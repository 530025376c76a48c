/** Signs in a score by which a musician sees that something new begins. */
import type { Bar, Score } from "../score/model.ts";
import { lastAtOrBefore } from "../score/time.ts";

/** A sign by which a musician sees that something new begins. */
export type PrintedSign = "double bar" | "repeat" | "new tempo" | "new metre" | "new key";

/**
 * The signs at every bar line. Where tempo, metre or key change all the time, a change is no turn: they have to hold
 * for some bars before and after.
 */
export function printedTurns(score: Score, steadyBars: number): readonly (readonly PrintedSign[])[] {
  const { bars } = score;
  const isNew = (valueOf: (index: number) => string | number) => {
    const values = bars.map((_, i) => valueOf(i));
    return (b: number) =>
      values[b] !== values[b - 1] &&
      values.slice(Math.max(0, b - steadyBars), b).every((v) => v === values[b - 1]) &&
      values.slice(b, b + steadyBars).every((v) => v === values[b]);
  };
  const tempos = tempoOfBars(score);
  const signs: readonly (readonly [PrintedSign, (b: number) => boolean])[] = [
    ["double bar", (b) => bars[b - 1]!.doubleBar === true],
    ["repeat", (b) => isAtRepeat(bars[b - 1]!, bars[b]!)],
    ["new tempo", isNew((i) => tempos[i]!)],
    ["new metre", isNew((i) => `${bars[i]!.beats}/${bars[i]!.beatUnit}`)],
    ["new key", isNew((i) => bars[i]!.keyFifths)],
  ];
  return bars.map((_, b) => b === 0 ? [] : signs.flatMap(([sign, holds]) => holds(b) ? [sign] : []));
}

/** A stretch, an ending, a segno or a coda begins, or the players are sent away. An ending belongs to what it ends. */
function isAtRepeat(before: Bar, now: Bar): boolean {
  const { repeat } = now;
  if (repeat?.start || repeat?.segno || repeat?.coda || isBack(before, now)) return true;
  if (before.repeat?.jump !== undefined || before.repeat?.fine) return true;
  const hasEnded = before.repeat?.times !== undefined || before.repeat?.endings !== undefined;
  return hasEnded && repeat?.endings === undefined;
}

/** Where repeats are written out, the printed numbers go back. */
function isBack(before: Bar, now: Bar): boolean {
  const isNumber = /^\d+$/;
  return isNumber.test(before.number) && isNumber.test(now.number) &&
    Number(now.number) <= Number(before.number);
}

/** The tempo in force when each bar begins, in quarters a minute. */
function tempoOfBars({ bars, tempos }: Score): readonly number[] {
  return bars.map(({ startTicks }) =>
    tempos[lastAtOrBefore(tempos, startTicks, (t) => t.onsetTicks)]?.quartersPerMinute ?? 0
  );
}
