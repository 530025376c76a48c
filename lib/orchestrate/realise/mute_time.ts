/** Leaving time to put a mute on and to take it off. */
import type { Seconds, Ticks } from "../../base/units.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { changeTimes } from "../../instruments/changes.ts";
import type { PlacedAssignment } from "../plan/place_assignments.ts";
import type { BreathNote } from "./leave_breaths.ts";

/** A note with the layer it stands in. */
interface MutedNote extends BreathNote {
  readonly from: PlacedAssignment;
}

interface MuteOptions {
  readonly instrument: Instrument;
  /** Seconds at a position. */
  readonly clock: (ticks: Ticks) => Seconds;
  /** Beats of all bars in ticks, in order. */
  readonly beats: readonly Ticks[];
}

const endOf = (n: BreathNote): Ticks => n.onsetTicks + n.durationTicks;
/** Whether a layer may end sooner or come in later: all may but the tune and a run. */
const yields = ({ kind, from: { assignment } }: MutedNote) =>
  kind === "accompaniment" || assignment.role === "counterline";
const isMuted = ({ assignment }: PlacedAssignment) => assignment.technique === "con sordino";

/**
 * Leaves a part the shortest time its players need between a layer with mutes and one without, in whole beats: what
 * accompanies, a second line too, ends sooner, or comes in later where the tune stands before it. Between two tunes nothing is taken away.
 * Seconds are those of `data/change_times.csv`: strings on 2, off 1; brass in 3, out 2 (common practice, no source).
 *
 * @param line notes of one part, in order
 */
export function leaveMuteTime<N extends MutedNote>(line: readonly N[], options: MuteOptions): readonly N[] {
  const layers = [...Map.groupBy(line, (n) => n.from)];
  for (let i = 1; i < layers.length; i++) {
    const [[before, own], [after, next]] = [layers[i - 1]!, layers[i]!];
    const needed = secondsFor(options.instrument, [before, after]);
    if (needed === 0 || own.length === 0 || next.length === 0) continue;
    const start = next[0]!.onsetTicks;
    const end = Math.max(...own.map(endOf));
    const { clock, beats } = options;
    if (clock(start) - clock(end) >= needed) continue;
    const from = beats.findLast((b) => b > own[0]!.onsetTicks && clock(start) - clock(b) >= needed);
    const to = beats.find((b) => b < endOf(next.at(-1)!) && clock(b) - clock(end) >= needed);
    if (yields(own[0]!) && from !== undefined) layers[i - 1]![1] = endedAt(own, from);
    else if (yields(next[0]!) && to !== undefined) layers[i]![1] = begunAt(next, to);
  }
  return layers.flatMap(([, own]) => own);
}

/** Seconds that the change between two layers takes; 0 where the mute stays as it is. */
function secondsFor(
  instrument: Instrument,
  [before, after]: readonly [PlacedAssignment, PlacedAssignment],
): Seconds {
  if (isMuted(before) === isMuted(after)) return 0;
  const names = isMuted(after) ? ["mute on", "mute in"] : ["mute off", "mute out"];
  return changeTimes(instrument).find(({ change }) => names.includes(change))?.leastSeconds ?? 0;
}

/** What of some notes stands before a place. */
function endedAt<N extends MutedNote>(notes: readonly N[], at: Ticks): N[] {
  return notes.filter((n) => n.onsetTicks < at)
    .map((n) => endOf(n) <= at ? n : { ...n, durationTicks: at - n.onsetTicks });
}

/** What of some notes stands after a place; strokes under way there are left out, held notes begin there. */
function begunAt<N extends MutedNote>(notes: readonly N[], at: Ticks): N[] {
  return notes.flatMap((n) => {
    if (n.onsetTicks >= at) return [n];
    const isHeld = n.from.figure.shape !== "repeated notes" && endOf(n) > at;
    return isHeld ? [{ ...n, onsetTicks: at, durationTicks: endOf(n) - at }] : [];
  });
}
