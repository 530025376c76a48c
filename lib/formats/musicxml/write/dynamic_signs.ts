/** Numbers on the dynamic scale become marks and hairpins: once where they change. */
import { type DynamicMark, dynamicMark } from "../../../score/dynamics.ts";

/** A place where something sounds. */
interface DynamicPoint {
  readonly ticks: number;
  /** End of the longest note that begins here, in ticks. */
  readonly endTicks: number;
  readonly dynamic: number;
}

/** A sign to print. */
type DynamicSign =
  | { readonly ticks: number; readonly kind: "mark"; readonly mark: DynamicMark | "sfz" }
  | { readonly ticks: number; readonly kind: "crescendo" | "diminuendo" | "stop" };

/** Distance from the running mark at which a new one is printed; below it a player hears no new step. Model assumption. */
const NEW_MARK_STEPS = 0.6;
/** How far a note may lie from an even rise or fall and still belong to its hairpin: rounding only. */
const STEADY_STEPS = 0.005;
/** Number of a single stressed note (sfz) inside a hairpin. */
const STRESSED = 6;

/** A hairpin. */
interface Ramp {
  readonly fromTicks: number;
  readonly toTicks: number;
  /** Dynamic it starts from. */
  readonly start: number;
  /** Dynamic it leads to. */
  readonly target: number;
  /** Index of the first point after it. */
  readonly next: number;
  /** Places of stressed notes under it. */
  readonly stressed: readonly number[];
}

const isFraction = (dynamic: number): boolean => Math.abs(dynamic - Math.round(dynamic)) > 1e-6;

/** A line through two points. */
function lineThrough(a: DynamicPoint, b: DynamicPoint) {
  const slope = (b.dynamic - a.dynamic) / (b.ticks - a.ticks);
  return {
    slope,
    at: (ticks: number) => a.dynamic + slope * (ticks - a.ticks),
    when: (dynamic: number) => Math.round(a.ticks + (dynamic - a.dynamic) / slope),
  };
}

/** True when the point after a stressed note is on the line again, or holds the step the line has reached by then. */
function comesBack(after: DynamicPoint, line: ReturnType<typeof lineThrough>): boolean {
  if (Math.abs(line.at(after.ticks) - after.dynamic) <= STEADY_STEPS) return true;
  const reached = line.when(after.dynamic);
  return !isFraction(after.dynamic) && line.slope !== 0 && reached <= after.ticks &&
    Math.abs(line.at(after.ticks) - after.dynamic) < 1;
}

/** Points from `first` on that lie on one line; the line goes through the first and the last of them. */
function steadyRun(points: readonly DynamicPoint[], first: number) {
  const here = points[first - 1]!;
  const start = points[first]!;
  const stressed: number[] = [];
  let line: ReturnType<typeof lineThrough> | undefined;
  let last = first;
  for (let k = first + 1; k < points.length; k++) {
    const point = points[k]!;
    const after = points[k + 1];
    if (!line) {
      // An even line needs two notes between steps: the second may be a whole step if the third goes on.
      const goesOn = isFraction(point.dynamic) ||
        (after !== undefined && isFraction(after.dynamic) &&
          Math.abs(lineThrough(start, point).at(after.ticks) - after.dynamic) <= STEADY_STEPS);
      if (goesOn && Math.abs(point.dynamic - start.dynamic) > 1e-9) {
        line = lineThrough(start, point);
        last = k;
        continue;
      }
    } else if (Math.abs(line.at(point.ticks) - point.dynamic) <= STEADY_STEPS) {
      last = k;
      line = lineThrough(start, point);
      continue;
    }
    if (point.dynamic === STRESSED && after && comesBack(after, line ?? lineThrough(here, start))) {
      stressed.push(k);
    } else break;
  }
  if (line && !isFraction(points[last]!.dynamic)) last--;
  return { line: last > first ? line : undefined, last, stressed };
}

/** The even rise or fall that begins at or after a point and before the next, if one does. */
function rampFrom(points: readonly DynamicPoint[], i: number, endTicks: number): Ramp | undefined {
  const here = points[i]!;
  const first = points[i + 1];
  if (!first || !isFraction(first.dynamic)) return undefined;
  const run = steadyRun(points, i + 1);
  const last = points[run.last]!;
  // A stressed note after the last step may still stand under the hairpin.
  let next = run.last + 1;
  while (run.stressed.includes(next)) next++;
  const stressedLate = points[next]?.dynamic === STRESSED && run.line !== undefined &&
    points[next + 1] !== undefined &&
    run.line.when(run.line.slope > 0 ? Math.ceil(last.dynamic) : Math.floor(last.dynamic)) >
      points[next]!.ticks;
  const stressed = stressedLate ? [...run.stressed, next++] : run.stressed;
  const reached = points[next];
  const limit = reached?.ticks ?? endTicks;
  // One note only under the hairpin: it is taken to begin with the note before, or else to end with the next.
  let line = run.line;
  if (!line) {
    if (Math.abs(first.dynamic - here.dynamic) < 1e-9) return undefined;
    line = lineThrough(here, first);
    const rises = Math.sign(line.slope);
    const goesOn = reached && !isFraction(reached.dynamic) &&
      Math.sign(reached.dynamic - first.dynamic) === rises;
    if (goesOn && line.when(reached.dynamic) > reached.ticks) line = lineThrough(first, reached);
  }
  const direction = Math.sign(line.slope);
  const nextStep = direction > 0 ? Math.ceil(last.dynamic) : Math.floor(last.dynamic);
  if (!run.line && line.when(nextStep) > limit) {
    line = lineThrough(first, { ticks: limit, endTicks: limit, dynamic: nextStep });
  }
  let start = here.dynamic;
  let fromTicks = line.when(start);
  let stressedStart = false;
  if (fromTicks < here.ticks || fromTicks >= first.ticks) {
    start = direction > 0 ? Math.floor(first.dynamic) : Math.ceil(first.dynamic);
    fromTicks = line.when(start);
    stressedStart = fromTicks === here.ticks && here.dynamic === STRESSED;
    if (fromTicks < here.ticks || fromTicks >= first.ticks) return undefined;
    if (fromTicks === here.ticks && !stressedStart) return undefined;
  }
  if (isFraction(start)) return undefined;
  const reaches = reached && !isFraction(reached.dynamic) && line.when(reached.dynamic) > last.ticks &&
    line.when(reached.dynamic) <= reached.ticks;
  const target = reaches ? reached.dynamic : nextStep;
  const toTicks = line.when(target);
  if (target < 1 || target > 8 || toTicks <= last.ticks || toTicks > limit) return undefined;
  return {
    fromTicks,
    toTicks,
    start,
    target,
    next,
    stressed: [...(stressedStart ? [i] : []), ...stressed.filter((k) => k < next)],
  };
}

/** A rise or fall from note to note that is not even in time: at least four notes, each a little further. */
function climbFrom(points: readonly DynamicPoint[], i: number): Ramp | undefined {
  const here = points[i]!;
  const direction = Math.sign((points[i + 1]?.dynamic ?? here.dynamic) - here.dynamic);
  let last = i;
  while (last + 1 < points.length) {
    const step = (points[last + 1]!.dynamic - points[last]!.dynamic) * direction;
    if (step <= 0 || step > 1) break;
    last++;
  }
  const reached = points[last]!;
  if (direction === 0 || last - i < 3 || Math.abs(reached.dynamic - here.dynamic) < 1) return undefined;
  // Whole steps on every note are marks of their own, not a hairpin.
  if (!points.slice(i + 1, last).every((p) => isFraction(p.dynamic))) return undefined;
  return {
    fromTicks: here.ticks,
    toTicks: reached.ticks,
    start: here.dynamic,
    target: reached.dynamic,
    next: last,
    stressed: [],
  };
}

/**
 * Marks and hairpins of one stave. A mark stands where the dynamic changes, and again after a long silence; a
 * hairpin stands where it moves from note to note.
 */
export function dynamicSigns(
  points: readonly DynamicPoint[],
  { endTicks, isLongSilence }: {
    readonly endTicks: number;
    readonly isLongSilence: (fromTicks: number, toTicks: number) => boolean;
  },
): readonly DynamicSign[] {
  const page: Page = { points, signs: [], stressed: new Set(), running: undefined, soundedUntil: 0 };
  for (let i = 0; i < points.length;) {
    const point = points[i]!;
    // Under a stress the dynamic that was running goes on.
    const level = page.stressed.has(i) ? page.running! : point.dynamic;
    const seen = level === point.dynamic ? points : points.with(i, { ...point, dynamic: level });
    const found = rampFrom(seen, i, endTicks) ?? climbFrom(seen, i);
    // A note that is as loud as what came before is no stress at the start of a hairpin.
    const ramp = found?.stressed[0] === i && page.running === STRESSED ? undefined : found;
    const wanted = ramp?.stressed[0] === i ? ramp.start : level;
    const isNew = page.running === undefined || Math.abs(wanted - page.running) >= NEW_MARK_STEPS;
    if (isNew || isLongSilence(page.soundedUntil, point.ticks)) addMark(page, point.ticks, wanted);
    page.soundedUntil = Math.max(page.soundedUntil, point.endTicks);
    i = ramp ? addRamps(page, ramp, { from: i, endTicks }) : i + 1;
  }
  return page.signs;
}

/** The signs so far, and what they have come to. */
interface Page {
  readonly points: readonly DynamicPoint[];
  readonly signs: DynamicSign[];
  /** Indexes of the notes that are stressed already. */
  readonly stressed: Set<number>;
  running: number | undefined;
  soundedUntil: number;
}

function addMark(page: Page, ticks: number, dynamic: number): void {
  page.running = Math.min(8, Math.max(1, Math.round(dynamic)));
  page.signs.push({ ticks, kind: "mark", mark: dynamicMark(dynamic) });
}

function addStress({ points, signs, stressed }: Page, index: number): void {
  if (!stressed.has(index)) signs.push({ ticks: points[index]!.ticks, kind: "mark", mark: "sfz" });
  stressed.add(index);
}

/** Adds a hairpin, and those that begin before the next note does; gives the index of the first point after them. */
function addRamps(page: Page, first: Ramp, { from, endTicks }: { from: number; endTicks: number }): number {
  const { points } = page;
  const soundUntil = (ticks: number) => page.soundedUntil = Math.max(page.soundedUntil, ticks);
  for (let ramp = first;;) {
    const reached = addRamp(page, ramp);
    for (let k = from + 1; k < ramp.next; k++) soundUntil(points[k]!.endTicks);
    if (reached) soundUntil(reached.endTicks);
    const follow = reached ? undefined : rampFrom(points, ramp.next - 1, endTicks);
    if (!follow || follow.fromTicks < ramp.toTicks || follow.start !== ramp.target) return ramp.next;
    ramp = follow;
  }
}

/** Adds a hairpin; gives back the point its mark stands at, if it stands at one. */
function addRamp(page: Page, ramp: Ramp): DynamicPoint | undefined {
  const { points, signs } = page;
  const { fromTicks, toTicks, start, target, next } = ramp;
  if (Math.abs(start - page.running!) >= NEW_MARK_STEPS) addMark(page, fromTicks, start);
  signs.push({ ticks: fromTicks, kind: target > start ? "crescendo" : "diminuendo" });
  for (const k of ramp.stressed) addStress(page, k);
  signs.push({ ticks: toTicks, kind: "stop" });
  const reached = points[next];
  const isAtPoint = reached?.ticks === toTicks;
  if (!isAtPoint || Math.abs(reached.dynamic - target) < 1e-6) {
    addMark(page, toTicks, target);
    return isAtPoint ? reached : undefined;
  }
  const climbs = reached.dynamic > target && target > start;
  if (climbs && reached.dynamic === STRESSED && points[next + 1]?.dynamic !== STRESSED) {
    // A single stressed note right at the end: as a plain mark it would be taken for the hairpin's target.
    if (target !== start + 1) addMark(page, toTicks, target);
    addStress(page, next);
  }
  page.running = target;
  return undefined;
}
