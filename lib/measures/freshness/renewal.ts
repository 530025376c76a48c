/** Where the scoring is renewed with the music, where it changes in the middle of a phrase, and what that makes of each bar. */
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { mean as preciseMean } from "simple-statistics";
import type { Share } from "../../base/units.ts";

/** Constants that renewal depends on. */
type RenewalConstants = Readonly<
  Record<
    | "halfLifeBars"
    | "compareBars"
    | "changeFrom"
    | "repeatDiscount"
    | "jointShare"
    | "dialogueBars",
    number
  >
>;

/** What renewal is made from. */
interface RenewalInput {
  /** First bar that counts: an upbeat and silence before it do not. */
  readonly fromBarIndex: number;
  /** First bars of the phrases. */
  readonly starts: readonly number[];
  /** Evidence at each bar line that a phrase begins there. */
  readonly turns: readonly number[];
  /** Whether anything sounds in each bar. */
  readonly sounds: readonly boolean[];
  /** Likeness of two bars by scoring. */
  readonly like: (i: number, j: number) => Share;
  readonly settings: RenewalConstants;
}

/** Renewal of one bar. */
interface RenewalBar {
  /** How much less the bars before are like the bars after than like each other. */
  readonly change: Share;
  /** A change that is large enough and larger than its neighbours; who enters after an upbeat or a silence begins the piece. */
  readonly isChange: boolean;
  /** Which phrase it is in. */
  readonly phrase: number;
  /** How much changes for its own sake: inside a phrase, and to nothing that was heard just before. */
  readonly restless: Share;
  /** How recently the scoring was renewed where a phrase begins, times the coherence of the phrase. */
  readonly freshness: Share;
}

/** Renewal of a score. */
interface Renewal {
  readonly bars: readonly RenewalBar[];
  /** Coherence of each phrase: one over one more than the changes for their own sake in it. */
  readonly coherence: readonly Share[];
}

/** Works out how fresh each bar is. */
export function renewal(input: RenewalInput): Renewal {
  const { fromBarIndex, starts, sounds, like, settings } = input;
  const count = sounds.length;
  const changes = sounds.map((_, b) => changeAt(b, count, like, settings.compareBars));
  const phraseOf = sounds.map((_, b) => starts.findLastIndex((start) => start <= b));
  const restless = sounds.map((_, b) => restlessAt(b, input));
  const coherence = starts.map((start, p) => {
    let sum = 0;
    for (let b = start + 1; b < (starts[p + 1] ?? count); b++) sum += restless[b]!;
    return 1 / (1 + sum);
  });
  const isStart = new Set(starts);
  let renewed = 1;
  return {
    coherence,
    bars: sounds.map((_, b): RenewalBar => {
      const change = changes[b]!;
      const isLarge = b > fromBarIndex && change >= settings.changeFrom;
      const changeBefore = b - 1 > fromBarIndex ? changes[b - 1]! : 0;
      if (b > fromBarIndex) {
        renewed *= 2 ** (-1 / settings.halfLifeBars);
        if (isStart.has(b) && isLarge) {
          renewed += (1 - renewed) * change * (1 - settings.repeatDiscount * heardBefore(b, input));
        }
      }
      return {
        change,
        isChange: isLarge && change >= changeBefore && change > (changes[b + 1] ?? 0),
        phrase: phraseOf[b]!,
        restless: restless[b]!,
        freshness: renewed * coherence[phraseOf[b]!]!,
      };
    }),
  };
}

/**
 * What changes at a bar line for its own sake: how much less the bar is like the bar before, or any that sounded just
 * before, as in a dialogue. A little is nothing; at a joint of the phrase, and right beside its beginning, it is less.
 */
function restlessAt(b: number, { fromBarIndex, starts, turns, sounds, like, settings }: RenewalInput): Share {
  if (b <= fromBarIndex || starts.includes(b) || !sounds[b]!) return 0;
  let likest = 0;
  const earliest = Math.max(fromBarIndex, b - Math.round(settings.dialogueBars));
  for (let i = b - 1; i >= earliest; i--) if (sounds[i]!) likest = Math.max(likest, like(b, i));
  const change = 1 - likest;
  if (change < settings.changeFrom) return 0;
  const isBeside = b - 1 === fromBarIndex || starts.includes(b - 1) || starts.includes(b + 1);
  return change * (1 - settings.jointShare * (isBeside ? 1 : Math.min(1, turns[b]!)));
}

/** Likeness of a new scoring to the likest that was left, less the longer ago it was. */
function heardBefore(b: number, { fromBarIndex, starts, like, settings }: RenewalInput): Share {
  const left = starts.findLast((start) => start < b) ?? fromBarIndex;
  let most = 0;
  for (let i = fromBarIndex; i < left; i++) {
    most = Math.max(most, like(b, i) * 2 ** (-(b - i - 1) / settings.halfLifeBars));
  }
  return most;
}

function changeAt(
  b: number,
  count: number,
  like: (i: number, j: number) => number,
  compareBars: number,
): number {
  const width = Math.max(1, Math.round(compareBars));
  const before = Array.from({ length: width }, (_, k) => b - 1 - k).filter((i) => i >= 0);
  const after = Array.from({ length: width }, (_, k) => b + k).filter((i) => i < count);
  if (before.length === 0 || after.length === 0) return 0;
  const within = (list: readonly number[]) =>
    list.length < 2 ? 1 : preciseMean(list.flatMap((i) => list.filter((j) => j < i).map((j) => like(i, j))));
  const across = preciseMean(before.flatMap((i) => after.map((j) => like(i, j))));
  return Math.max(0, (within(before) + within(after)) / 2 - across);
}

/** Mean of a figure over the bars that count. */
export function meanFrom<T>(rows: readonly T[], fromBarIndex: number, of: (row: T) => number): number {
  return mean(rows.slice(fromBarIndex), of) ?? 0;
}
