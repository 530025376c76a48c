/**
 * Short bars two by two. What two bars of two beats do is heard as what one bar of four does: where the bar lines stand is the
 * page's business.
 */
import type { Bar } from "../../score/model.ts";
import { fullBarTicks } from "../../score/time.ts";
import { type FeltBar, feltBars } from "./felt_time.ts";
import type { ScoreFrame } from "./score_frame.ts";

/** A score with its short bars joined. */
export interface PairedBars {
  /** The score; bars that are not joined are as they were. */
  readonly score: ScoreFrame;
  /** For each bar as it is written, the bar it is in. */
  readonly pairOf: readonly number[];
}

/**
 * Bars of two beats are joined where each beat is felt as one, and, though each is felt in two, where it lasts so many seconds
 * from one bound up to the other. Between, as in a quick alla breve, a pair read in its beats does other things than people
 * hear (Beethoven 1, beats of 0.54: 0.726 of the cells exact instead of 0.748); in the third movement of Brahms 1 (0.63) the
 * surest lead is right in 0.711 of the bars with pairs, in 0.692 without; with longer beats leads are lost. Chosen in coarse
 * steps on the annotated movements, each read with weights that had not seen it.
 */
const SLOW_BEATS = { from: 0.58, to: 1.04 } as const;

function isShort(bar: Bar, { unitTicks, secondsPerTick }: FeltBar, ticksPerQuarter: number): boolean {
  if (bar.beats !== 2 || bar.durationTicks !== fullBarTicks(bar, ticksPerQuarter)) return false;
  const seconds = bar.durationTicks / 2 * secondsPerTick;
  return 2 * unitTicks >= bar.durationTicks || seconds >= SLOW_BEATS.from && seconds < SLOW_BEATS.to;
}

/**
 * A score whose short bars are joined two by two, counted from where their metre begins.
 *
 * @param score the score
 * @returns the score in longer bars; undefined where no bars are joined
 */
export function inPairs(score: ScoreFrame): PairedBars | undefined {
  const felt = feltBars(score);
  const { ticksPerQuarter } = score;
  const bars: Bar[] = [];
  const pairOf: number[] = [];
  let inMetre = 0;
  score.bars.forEach((bar, b) => {
    const before = score.bars[b - 1];
    const goesOn = before !== undefined && before.beats === bar.beats && before.beatUnit === bar.beatUnit &&
      before.durationTicks === bar.durationTicks;
    inMetre = goesOn ? inMetre + 1 : 0;
    const isSecond = inMetre % 2 === 1 && isShort(before!, felt[b - 1]!, ticksPerQuarter) &&
      isShort(bar, felt[b]!, ticksPerQuarter);
    if (isSecond) {
      bars[bars.length - 1] = {
        ...before!,
        beats: 2 * bar.beats,
        durationTicks: before!.durationTicks + bar.durationTicks,
      };
    } else bars.push(bar);
    pairOf.push(bars.length - 1);
  });
  return bars.length === score.bars.length ? undefined : { score: { ...score, bars }, pairOf };
}
