/** The line the ear follows, whoever plays it: what phrases are read from, so that they do not depend on the scoring. */
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { RoleCell } from "../../texture/model.ts";
import type { Ticks } from "../../base/units.ts";

/** One note of the line. */
export interface LineNote {
  readonly barIndex: number;
  readonly onsetTicks: Ticks;
  /** Where the last of its doublings ends. */
  readonly endTicks: Ticks;
  /** Pitch of the highest doubling. */
  readonly pitch: number;
}

/**
 * The line of the leads, bar by bar: at each place at which a leading part begins a note, the highest of them. Where
 * nobody leads, the highest of all that begins.
 */
export function leadLine(score: Score, bars: readonly (readonly RoleCell[])[]): readonly LineNote[] {
  const hasLead = bars.map((bar) => bar.some((c) => c.role === "lead"));
  const line: LineNote[] = [];
  for (const { part, onsetTicks, durationTicks, soundingPitch, unpitched } of soundingNotes(score)) {
    if (unpitched) continue;
    const barIndex = barIndexOf(score, onsetTicks);
    if (hasLead[barIndex]! && bars[barIndex]![part]!.role !== "lead") continue;
    line.push({ barIndex, onsetTicks, endTicks: onsetTicks + durationTicks, pitch: soundingPitch });
  }
  line.sort((a, b) => a.onsetTicks - b.onsetTicks || b.pitch - a.pitch);
  const merged: LineNote[] = [];
  for (const note of line) {
    const last = merged.at(-1);
    if (last === undefined || last.onsetTicks !== note.onsetTicks) merged.push(note);
    else if (note.endTicks > last.endTicks) merged[merged.length - 1] = { ...last, endTicks: note.endTicks };
  }
  return merged;
}
