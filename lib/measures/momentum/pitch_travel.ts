/** How far the parts travel in pitch. */
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";

/**
 * Semitones travelled in each bar from one note to the next, mean over the pitched parts that begin notes in it;
 * of chords the top note counts.
 */
export function pitchTravel(score: Score): readonly number[] {
  const sums = new Float64Array(score.bars.length);
  const moving = new Int32Array(score.bars.length);
  const parts = score.parts.map(() => ({ onsetTicks: -1, top: NaN, before: NaN, barIndex: -1 }));
  const arrive = (part: typeof parts[number]): void => {
    if (part.onsetTicks < 0) return;
    const bar = barIndexOf(score, part.onsetTicks);
    if (bar !== part.barIndex) moving[bar]!++;
    part.barIndex = bar;
    if (!Number.isNaN(part.before)) sums[bar]! += Math.abs(part.top - part.before);
    part.before = part.top;
  };
  for (const { part: index, onsetTicks, soundingPitch, unpitched } of soundingNotes(score)) {
    if (unpitched) continue;
    const part = parts[index]!;
    if (onsetTicks !== part.onsetTicks) {
      arrive(part);
      part.onsetTicks = onsetTicks;
    }
    // Notes of one onset and part come from the lowest to the highest.
    part.top = soundingPitch;
  }
  parts.forEach(arrive);
  return Array.from(sums, (sum, bar) => moving[bar] === 0 ? 0 : sum / moving[bar]!);
}
