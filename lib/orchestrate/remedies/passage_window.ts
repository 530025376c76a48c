/** A few bars of a score that can be measured as if the rest were there. */
import { greatestOf } from "../../base/extremes.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf, endOfBar } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";

/** Some bars with what reaches into them. */
export interface PassageWindow {
  /** Only those bars, at their own ticks. */
  readonly score: Score;
  /** Who does what in them. */
  readonly texture: Texture;
  /** Where the bars asked for begin in it, as a bar index of the window. */
  readonly fromBarIndex: number;
  /** Where they end, inclusive. */
  readonly toBarIndex: number;
}

/** Bars before and after that a note may be judged by: what doubles the lead is told from the bars beside it. */
const BARS_AROUND = 3;

/**
 * Cuts bars out of a score, with as many after them as notes reach into and three more on either side; whatever is
 * measured note by note in the bars asked for is the same as in the whole score.
 */
export function passageWindow(
  score: Score,
  texture: Texture,
  bars: { readonly fromBarIndex: number; readonly toBarIndex: number },
): PassageWindow {
  const reach = score.notes.filter(soundsIn(score, bars)).map(endOf);
  const last = barIndexOf(score, greatestOf(reach, endOfBar(score, bars.toBarIndex)) - 1);
  const from = Math.max(0, bars.fromBarIndex - BARS_AROUND);
  const to = Math.min(score.bars.length - 1, last + BARS_AROUND);
  const parts = score.parts.length;
  return {
    score: {
      ...score,
      bars: score.bars.slice(from, to + 1),
      notes: score.notes.filter(soundsIn(score, { fromBarIndex: from, toBarIndex: to })),
    },
    texture: { ...texture, cells: texture.cells.slice(from * parts, (to + 1) * parts) },
    fromBarIndex: bars.fromBarIndex - from,
    toBarIndex: bars.toBarIndex - from,
  };
}

/** Whether a note sounds in some bars; one without length does where it stands. */
export function soundsIn(
  score: Score,
  { fromBarIndex, toBarIndex }: { readonly fromBarIndex: number; readonly toBarIndex: number },
): (note: Note) => boolean {
  const from = score.bars[fromBarIndex]!.startTicks;
  const to = endOfBar(score, toBarIndex);
  return (n) => n.onsetTicks < to && endOf(n) > from;
}

const endOf = (n: Note) => n.onsetTicks + Math.max(1, n.durationTicks);
