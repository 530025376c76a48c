/** The rhythm of a line beside a tune that is there: it moves where the tune holds or rests, and holds where that moves. */
import { clockOf, endOfBar, isCompound } from "../../../score/time.ts";
import type { Seconds, Ticks } from "../../../base/units.ts";
import { tuneOf } from "./lines.ts";
import { beatStarts, type LayerTask, type PlacedStroke } from "./task.ts";

/** Shortest note of such a line: quicker it is a figure. Model assumption. */
const SHORTEST_SECONDS: Seconds = 0.25;

/** A beat so long is slow: wherever the tune leaves room the line has two notes in it. Model assumption. */
const SLOW_SECONDS: Seconds = 0.8;

/** One beat of a bar, or several where beats are quick. */
interface Beat {
  readonly from: Ticks;
  readonly to: Ticks;
  /** Notes of the tune that begin in it. */
  readonly begun: number;
  /** Whether a harmony begins with it, or the bar. */
  readonly isNew: boolean;
  readonly seconds: Seconds;
}

/**
 * Strokes of a second line against the tune of the task: one to a beat, two where the tune does least, none where it does
 * most; a line in even long notes would be taken for a held chord.
 */
export function strokesAgainst(task: LayerTask): readonly PlacedStroke[] {
  const { score } = task.sketch;
  const clock = clockOf(score);
  const lasts = (from: Ticks, to: Ticks): Seconds => clock(to) - clock(from);
  return score.bars.slice(task.fromBarIndex, task.toBarIndex + 1).flatMap((bar, i) => {
    const end = endOfBar(score, task.fromBarIndex + i);
    const onsets = onsetsAgainst(beatsIn(task, task.fromBarIndex + i, lasts), (beat) => {
      const at = beat.from + Math.round((beat.to - beat.from) * (isCompound(bar) ? 2 / 3 : 1 / 2));
      return lasts(at, beat.to) >= SHORTEST_SECONDS * (isCompound(bar) ? 2 / 3 : 1) ? at : undefined;
    });
    return onsets.flatMap((onsetTicks, k): readonly PlacedStroke[] => {
      const harmony = task.harmonies.find((h) =>
        h.onsetTicks <= onsetTicks && h.onsetTicks + h.durationTicks > onsetTicks
      );
      if (harmony === undefined) return [];
      return [{
        onsetTicks,
        durationTicks: (onsets[k + 1] ?? end) - onsetTicks,
        harmony,
        inBar: k,
        inCell: k,
      }];
    });
  });
}

/** The beats of a bar; two are one as long as half of one would be too quick. */
function beatsIn(
  task: LayerTask,
  barIndex: number,
  lasts: (from: Ticks, to: Ticks) => Seconds,
): readonly Beat[] {
  const { score } = task.sketch;
  const end = endOfBar(score, barIndex);
  const tune = tuneOf(task);
  let starts = beatStarts(score.bars[barIndex]!, score.ticksPerQuarter);
  while (starts.length > 2 && lasts(starts[0]!, starts[1]!) < 2 * SHORTEST_SECONDS) {
    // Of three or five beats the first stands alone.
    const odd = starts.length % 2;
    starts = starts.filter((_, i) => i === 0 || i % 2 === odd);
  }
  return starts.map((from, i): Beat => {
    const to = starts[i + 1] ?? end;
    return {
      from,
      to,
      seconds: lasts(from, to),
      begun: tune.filter((n) => n.onsetTicks >= from && n.onsetTicks < to).length,
      isNew: i === 0 || task.harmonies.some((h) => h.onsetTicks === from),
    };
  });
}

/** Where notes begin in some beats: half of them, the stillest, and slow ones have a second note, the busiest has none. */
function onsetsAgainst(
  beats: readonly Beat[],
  secondIn: (beat: Beat) => Ticks | undefined,
): readonly Ticks[] {
  const stillest = [...beats.keys()].sort((a, b) => beats[a]!.begun - beats[b]!.begun || b - a);
  const moving = new Set(
    stillest.filter((i) => secondIn(beats[i]!) !== undefined)
      .filter((i, k) => k < Math.max(1, Math.floor(beats.length / 2)) || beats[i]!.seconds >= SLOW_SECONDS)
      .filter((i, k) => k === 0 || beats[i]!.begun <= 1),
  );
  const held = beats.length < 3
    ? undefined
    : stillest.findLast((i) => i !== stillest[0] && !beats[i]!.isNew && beats[i]!.begun >= 2);
  return beats.flatMap((beat, i) => {
    if (i === held) return [];
    const second = moving.has(i) ? secondIn(beat) : undefined;
    return second === undefined ? [beat.from] : [beat.from, second];
  });
}
