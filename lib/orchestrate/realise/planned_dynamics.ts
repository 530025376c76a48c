/** The dynamic signs of a part as its plan has them: marks where a layer begins, hairpins that begin and end under notes. */
import type { Ticks } from "../../base/units.ts";
import { isLongSilence } from "../../score/silence.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Bar, WrittenDynamic } from "../../score/model.ts";
import { levelsOf } from "../plan/layer_dynamics.ts";
import type { PlacedAssignment } from "../plan/place_assignments.ts";

/** A note of a part with the layer it stands in. */
interface PlacedNote {
  readonly onsetTicks: Ticks;
  readonly durationTicks: Ticks;
  readonly from: Pick<PlacedAssignment, "assignment" | "toBarIndex">;
}

/**
 * Dynamic signs of one part. Each layer begins with its mark, where that is new or the part has been silent; a hairpin
 * runs from the layer's first note to the first of its last bar, or to its last note, where what it leads to is printed. Under a
 * single long note it ends on the note's last quarter. A swell has two, from the first note to a peak about halfway and on.
 *
 * @param notes the part's notes, in order
 * @param score bars and grid
 * @returns signs in order, for the whole part
 */
export function plannedDynamics(
  notes: readonly PlacedNote[],
  score: { readonly bars: readonly Bar[]; readonly ticksPerQuarter: Ticks },
): readonly WrittenDynamic[] {
  const { bars, ticksPerQuarter } = score;
  const signs: WrittenDynamic[] = [];
  let running: number | undefined;
  let soundedTo = 0;
  const mark = (onsetTicks: Ticks, dynamic: number) => {
    signs.push({ onsetTicks, staff: 0, kind: "mark", mark: dynamicMark(dynamic) });
    running = dynamic;
  };
  for (const [{ assignment, toBarIndex }, own] of Map.groupBy(notes, (n) => n.from)) {
    const first = own[0]!.onsetTicks;
    const end = Math.max(...own.map((n) => n.onsetTicks + n.durationTicks));
    const levels = levelsOf(assignment);
    const isAnew = isLongSilence(score, { fromTicks: soundedTo, toTicks: first });
    if (running !== levels[0] || isAnew) mark(first, levels[0]!);
    const places = hairpinPlaces(own, {
      count: levels.length - 1,
      lastBar: bars[toBarIndex]!.startTicks,
      ticksPerQuarter,
    });
    // A swell whose peak would lie over a rest has none: what is left is where it begins and where it ends.
    const shown = places.length < levels.length ? [levels[0]!, levels.at(-1)!] : levels;
    places.forEach((onsetTicks, leg) => {
      const [from, to, stop] = [shown[leg]!, shown[leg + 1], places[leg + 1]];
      if (to === undefined || stop === undefined || from === to) return;
      const hairpin = { staff: 0, number: 1 };
      signs.push({ ...hairpin, onsetTicks, kind: to > from ? "crescendo" : "diminuendo" });
      signs.push({ ...hairpin, onsetTicks: stop, kind: "stop" });
      mark(stop, to);
    });
    soundedTo = Math.max(soundedTo, end);
  }
  return signs;
}

interface HairpinOptions {
  /** Hairpins there may be, one or two. */
  readonly count: number;
  /** Where the last bar of the layer begins. */
  readonly lastBar: Ticks;
  readonly ticksPerQuarter: Ticks;
}

/** Where the hairpins over some notes begin and end: the first note, for a swell its peak, and where the last one ends. */
function hairpinPlaces(notes: readonly PlacedNote[], options: HairpinOptions): readonly Ticks[] {
  const { count, lastBar, ticksPerQuarter } = options;
  const first = notes[0]!.onsetTicks;
  const stop = hairpinEnd(notes, lastBar, ticksPerQuarter);
  const peak = count === 1 ? undefined : peakBetween(notes, [first, stop], ticksPerQuarter);
  return peak === undefined ? [first, stop] : [first, peak, stop];
}

/**
 * The peak of a swell: the note that begins nearest to its middle, if one does so within a quarter of it; else the nearest
 * quarter under a note that is held; none where two strokes have a rest between them.
 */
function peakBetween(
  notes: readonly PlacedNote[],
  [first, stop]: readonly [Ticks, Ticks],
  quarter: Ticks,
): Ticks | undefined {
  const middle = (first + stop) / 2;
  const nearest = (places: readonly Ticks[]) =>
    places.toSorted((a, b) => Math.abs(a - middle) - Math.abs(b - middle))[0];
  const isInside = (at: Ticks) => at > first && at < stop;
  const onset = nearest(notes.map((n) => n.onsetTicks).filter(isInside));
  if (onset !== undefined && Math.abs(onset - middle) <= quarter) return onset;
  const quarters = Array.from({ length: Math.ceil((stop - first) / quarter) }, (_, i) => first + i * quarter);
  const sounds = (at: Ticks) => notes.some((n) => n.onsetTicks <= at && n.onsetTicks + n.durationTicks > at);
  return nearest(quarters.filter((at) => isInside(at) && sounds(at))) ?? onset ??
    (sounds(Math.floor(middle)) ? Math.floor(middle) : undefined);
}

/** Where a hairpin over some notes ends: on a note of the last bar, or under the one that is held into it. */
function hairpinEnd(notes: readonly PlacedNote[], lastBar: Ticks, quarter: Ticks): Ticks {
  const first = notes[0]!.onsetTicks;
  const inLastBar = notes.find((n) => n.onsetTicks >= lastBar && n.onsetTicks > first);
  if (inLastBar) return inLastBar.onsetTicks;
  const { onsetTicks, durationTicks } = notes.at(-1)!;
  const end = onsetTicks + durationTicks;
  if (end > lastBar && lastBar > onsetTicks) return lastBar;
  return onsetTicks > first ? onsetTicks : end - Math.min(quarter, durationTicks / 2);
}
