/** What no score may have, however damaged the file was. */
import type { Score } from "../../lib/score/model.ts";
import { isTempo } from "../../lib/score/tempo_range.ts";

/** The path of the first number in a record that is not finite, for example `notes.3.dynamic`. */
function notFinite(value: unknown): string | undefined {
  if (typeof value === "number") return Number.isFinite(value) ? undefined : "";
  if (typeof value !== "object" || value === null) return undefined;
  for (const [name, inside] of Object.entries(value)) {
    const path = notFinite(inside);
    if (path !== undefined) return path === "" ? name : `${name}.${path}`;
  }
  return undefined;
}

/**
 * The first fault of a score.
 *
 * @param score a score that was read
 * @returns what is wrong, or undefined
 */
export function faultOf(score: Score): string | undefined {
  let end = 0;
  for (const bar of score.bars) {
    if (bar.startTicks !== end || !(bar.durationTicks > 0) || !Number.isInteger(bar.durationTicks)) {
      return `bar ${bar.number} leaves a gap`;
    }
    if (
      !(Number.isInteger(bar.beats) && bar.beats > 0 && Number.isInteger(bar.beatUnit) && bar.beatUnit > 0)
    ) {
      return `bar ${bar.number} is in ${bar.beats}/${bar.beatUnit}`;
    }
    if (!(Math.abs(bar.keyFifths) <= 14)) return `bar ${bar.number} has ${bar.keyFifths} fifths`;
    end += bar.durationTicks;
  }
  if (end === 0) return "no bars";
  for (const note of score.notes) {
    const { onsetTicks, durationTicks } = note;
    if (!(Number.isInteger(onsetTicks) && onsetTicks >= 0)) return `onset ${onsetTicks}`;
    if (!(Number.isInteger(durationTicks) && durationTicks >= 0)) return `length ${durationTicks}`;
    // A grace note may stand at the very end, after the last beat.
    if (onsetTicks + durationTicks > end) {
      return `note from ${onsetTicks} for ${durationTicks} in a score of ${end}`;
    }
    if (!Number.isFinite(note.soundingPitch)) return `pitch ${note.soundingPitch}`;
    if (!(note.dynamic >= 1 && note.dynamic <= 8)) return `dynamic ${note.dynamic}`;
    if (!score.parts[note.part]) return `part ${note.part}`;
    if (!(note.voice >= 1 && note.staff >= 1 && note.noteheads >= 1)) {
      return `voice ${note.voice}, stave ${note.staff}, ${note.noteheads} heads`;
    }
  }
  for (const part of score.parts) if (!(part.players >= 1)) return `${part.players} players`;
  if (new Set(score.parts.map((p) => p.id)).size < score.parts.length) return "two parts of one id";
  if (score.tempos[0]?.onsetTicks !== 0 || !score.tempos.every((t) => isTempo(t.quartersPerMinute))) {
    return "tempo";
  }
  for (const { onsetTicks } of [...score.tempos, ...score.chords, ...score.tempoBends ?? []]) {
    if (!(onsetTicks >= 0 && onsetTicks <= end)) return `a sign at ${onsetTicks} in a score of ${end}`;
  }
  const path = notFinite(score);
  return path === undefined ? undefined : `${path} is no finite number`;
}
