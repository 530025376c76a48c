/** The word over a stave whose players breathe one after another, so that the line goes on. */
import { breathReader } from "../../instruments/breath.ts";
import type { Note, Playing } from "../../score/model.ts";
import type { Seconds, Ticks } from "../../base/units.ts";
import type { PlacedAssignment } from "../plan/place_assignments.ts";
import type { Seat } from "../plan/seat.ts";
import { stretchesOf } from "./leave_breaths.ts";

/** As it is printed in parts for winds. */
const STAGGER = "stagger breathing";

interface StaggerOptions {
  readonly layers: readonly PlacedAssignment[];
  /** Who plays, as words say already, in order. */
  readonly playing: readonly Playing[];
  readonly clock: (ticks: Ticks) => Seconds;
  /** Least silence in which a breath is taken. */
  readonly gapSeconds: number;
}

/**
 * The words for one part, with that for staggered breathing put in where several players of winds first share a line that
 * holds or repeats longer than one breath. A tune has its breaths printed, which all take together.
 */
export function withStagger(
  { part, instrument }: Seat,
  notes: readonly Note[],
  { layers, playing, clock, gapSeconds }: StaggerOptions,
): readonly Playing[] {
  if (part.players === 1 || layers.length === 0) return playing;
  const melodies = layers.filter(({ assignment: { role } }) => role === "lead" || role === "counterline");
  const apart = new Set(melodies.map((p) => p.layer));
  const breathOf = breathReader(instrument);
  if (breathOf === undefined) return playing;
  const isLong = (stretch: readonly Note[]) => {
    let breaths = 0;
    let reached = 0;
    for (const { onsetTicks, durationTicks, soundingPitch, dynamic } of stretch) {
      const end = onsetTicks + durationTicks;
      const seconds = clock(end) - clock(Math.min(end, Math.max(onsetTicks, reached)));
      breaths += seconds / breathOf(dynamic, soundingPitch);
      reached = Math.max(reached, end);
    }
    return breaths > 1;
  };
  const shared = notes.filter((n) => !apart.has(n.layer!));
  const runningAt = (ticks: Ticks) => playing.findLast((p) => p.fromTicks <= ticks);
  // Who is alone in a group of a divided line has nobody to take turns with.
  const isShared = (stretch: readonly Note[]) => {
    const running = runningAt(stretch[0]!.onsetTicks);
    return running?.kind !== "divided" || part.players >= 2 * (running.count ?? 2);
  };
  const first = stretchesOf(shared, { clock, gapSeconds })
    .find((stretch) => isShared(stretch) && isLong(stretch))?.[0];
  if (first === undefined) return playing;
  const { onsetTicks: fromTicks } = first;
  const running = runningAt(fromTicks) ?? { kind: "all" };
  const before = playing.filter((p) => p.fromTicks <= fromTicks);
  return [...before, { ...running, fromTicks, words: STAGGER }, ...playing.slice(before.length)];
}
