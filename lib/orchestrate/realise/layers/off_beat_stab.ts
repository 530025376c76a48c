/** A short chord off the beat in every bar. */
import type { Bar } from "../../../score/model.ts";
import { beatTicks } from "../../../score/time.ts";
import type { Ticks } from "../../../base/units.ts";
import { chordNotes, strokeOf, voicings } from "./chords.ts";
import { groupsIn, type LayerWriter } from "./task.ts";

/** A short chord in every bar, half a beat before the beat in its middle. */
export const writeOffBeatStab: LayerWriter = (task) => {
  const { bars, ticksPerQuarter } = task.sketch.score;
  const chords = voicings(task);
  const eighth = ticksPerQuarter / 2;
  return bars.slice(task.fromBarIndex, task.toBarIndex + 1).flatMap((bar) => {
    const onsetTicks = middleBeat(bar, ticksPerQuarter) - eighth;
    const harmony = task.harmonies.find((h) =>
      h.onsetTicks <= onsetTicks && onsetTicks < h.onsetTicks + h.durationTicks
    );
    if (harmony === undefined || onsetTicks <= bar.startTicks) return [];
    const durationTicks = Math.min(eighth, harmony.onsetTicks + harmony.durationTicks - onsetTicks);
    return chordNotes(task, strokeOf(harmony, chords, { onsetTicks, durationTicks }));
  });
};

/** The beat, or the group of short values, that begins at the middle of a bar or last before it, but not the first. */
function middleBeat(bar: Bar, quarter: Ticks): Ticks {
  const beat = beatTicks(bar, quarter);
  const groups = groupsIn(bar, quarter).slice(1).map(([from]) => from);
  const beats = Array.from(
    { length: Math.ceil(bar.durationTicks / beat) - 1 },
    (_, i) => bar.startTicks + (i + 1) * beat,
  );
  const inside = groups.length > 0 ? groups : beats;
  return inside.findLast((at) => at <= bar.startTicks + bar.durationTicks / 2) ?? inside[0] ?? bar.startTicks;
}
