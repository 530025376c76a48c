/** Numbers on the dynamic scale become marks and hairpins: once where they change. */
import { type DynamicMark, dynamicMark } from "../score/dynamics.ts";

/** A place where something sounds. */
export interface DynamicPoint {
  /** Start in ticks. */
  readonly ticks: number;
  /** End of the longest note that begins here, in ticks. */
  readonly endTicks: number;
  /** Number on the dynamic scale. */
  readonly dynamic: number;
}

/** A sign to print. */
export type DynamicSign =
  | { readonly ticks: number; readonly kind: "mark"; readonly mark: DynamicMark }
  | { readonly ticks: number; readonly kind: "crescendo" | "diminuendo" | "stop" };

/** Distance from the running mark at which a new one is printed; below it a player hears no new step. Model assumption. */
const NEW_MARK_STEPS = 0.6;
/** How far a note may lie from an even rise or fall and still belong to its hairpin; model assumption. */
const STEADY_STEPS = 0.06;

interface Ramp {
  readonly fromTicks: number;
  readonly toTicks: number;
  readonly target: number;
  readonly next: number;
}

/** A rise or fall from note to note that is not even in time: at least four notes, each a little further. */
function climbFrom(points: readonly DynamicPoint[], i: number): Ramp | undefined {
  const start = points[i]!;
  const direction = Math.sign((points[i + 1]?.dynamic ?? start.dynamic) - start.dynamic);
  let last = i;
  while (last + 1 < points.length) {
    const step = (points[last + 1]!.dynamic - points[last]!.dynamic) * direction;
    if (step <= 0 || step > 1) break;
    last++;
  }
  const reached = points[last]!;
  if (direction === 0 || last - i < 3 || Math.abs(reached.dynamic - start.dynamic) < 1) return undefined;
  // Whole steps on every note are marks of their own, not a hairpin.
  if (!points.slice(i + 1, last).some((p) => Math.abs(p.dynamic - Math.round(p.dynamic)) > 0.05)) {
    return undefined;
  }
  return { fromTicks: start.ticks, toTicks: reached.ticks, target: reached.dynamic, next: last };
}

/** The even rise or fall that begins at a point, if one does. */
function rampFrom(points: readonly DynamicPoint[], i: number, endTicks: number): Ramp | undefined {
  const start = points[i]!;
  const first = points[i + 1];
  if (!first || Math.abs(first.dynamic - start.dynamic) < 1e-9) return undefined;
  const direction = Math.sign(first.dynamic - start.dynamic);
  const second = points[i + 2];
  let slope: number;
  let last = i + 1;
  const isFraction = (v: number) => Math.abs(v - Math.round(v)) > 1e-6;
  if (second && Math.sign(second.dynamic - first.dynamic) === direction && isFraction(second.dynamic)) {
    slope = (second.dynamic - first.dynamic) / (second.ticks - first.ticks);
    const on = (p: DynamicPoint) => first.dynamic + slope * (p.ticks - first.ticks);
    while (
      last + 1 < points.length && Math.abs(points[last + 1]!.dynamic - on(points[last + 1]!)) <= STEADY_STEPS
    ) {
      last++;
    }
    if (!isFraction(points[last]!.dynamic)) last--;
    const end = points[last]!;
    if (last > i + 1) slope = (end.dynamic - first.dynamic) / (end.ticks - first.ticks);
  } else {
    if (!isFraction(first.dynamic)) return undefined;
    // One note only under the hairpin: it is taken to begin with the note before.
    slope = (first.dynamic - start.dynamic) / (first.ticks - start.ticks);
  }
  const reach = points[last + 1];
  const target = reach
    ? reach.dynamic
    : direction > 0
    ? Math.ceil(points[last]!.dynamic)
    : Math.floor(points[last]!.dynamic);
  if (isFraction(target) || Math.sign(target - points[last]!.dynamic) !== direction) return undefined;
  const timeOf = (dynamic: number, slopeHere = slope) => first.ticks + (dynamic - first.dynamic) / slopeHere;
  let fromTicks = Math.round(timeOf(start.dynamic));
  let toTicks = Math.round(timeOf(target));
  if (reach && toTicks > reach.ticks && last === i + 1) {
    // The single note lies on a hairpin that began later and ends with the next note.
    toTicks = reach.ticks;
    fromTicks = Math.round(
      first.ticks - (first.dynamic - start.dynamic) * (reach.ticks - first.ticks) / (target - first.dynamic),
    );
  }
  const limit = reach ? reach.ticks : endTicks;
  if (fromTicks < start.ticks || fromTicks >= first.ticks) return undefined;
  if (toTicks <= points[last]!.ticks || toTicks > limit) return undefined;
  return { fromTicks, toTicks, target, next: last + 1 };
}

/**
 * Marks and hairpins of one stave. A mark stands where the dynamic changes, and again after a long silence;
 * a hairpin stands where it moves evenly from note to note.
 *
 * @param points where notes begin, in order, one for each place
 * @param options `endTicks` of the score; `silenceTicks` after which the mark is repeated; `reachTicks`, how far
 *   after a hairpin's end its mark may stand
 * @returns signs in order
 */
export function dynamicSigns(
  points: readonly DynamicPoint[],
  options: { readonly endTicks: number; readonly silenceTicks: number; readonly reachTicks: number },
): readonly DynamicSign[] {
  const signs: DynamicSign[] = [];
  let running: number | undefined;
  let soundedUntil = 0;
  const mark = (ticks: number, dynamic: number) => {
    running = Math.min(8, Math.max(1, Math.round(dynamic)));
    signs.push({ ticks, kind: "mark", mark: dynamicMark(dynamic) });
  };
  let i = 0;
  while (i < points.length) {
    const point = points[i]!;
    const isNew = running === undefined || Math.abs(point.dynamic - running) >= NEW_MARK_STEPS;
    if (isNew || point.ticks - soundedUntil >= options.silenceTicks) mark(point.ticks, point.dynamic);
    soundedUntil = Math.max(soundedUntil, point.endTicks);
    const settled = running !== undefined && Math.abs(point.dynamic - running) < 1e-6;
    const ramp = (settled ? rampFrom(points, i, options.endTicks) : undefined) ?? climbFrom(points, i);
    if (!ramp) {
      i++;
      continue;
    }
    for (let k = i + 1; k < ramp.next; k++) soundedUntil = Math.max(soundedUntil, points[k]!.endTicks);
    signs.push({ ticks: ramp.fromTicks, kind: ramp.target > point.dynamic ? "crescendo" : "diminuendo" });
    signs.push({ ticks: ramp.toTicks, kind: "stop" });
    const reached = points[ramp.next];
    const near = reached && reached.ticks - ramp.toTicks <= options.reachTicks;
    mark(near ? reached.ticks : ramp.toTicks, ramp.target);
    i = ramp.next;
    if (reached && near) {
      soundedUntil = Math.max(soundedUntil, reached.endTicks);
      // The point that was reached may begin the next hairpin, but its mark stands already.
    }
  }
  return signs;
}
