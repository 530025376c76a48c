/** The dynamic signs of a part as its plan has them: marks where a layer begins, hairpins that begin and end under notes. */
import type { Ticks } from "../../base/units.ts";
import { isLongSilence } from "../../score/silence.ts";
import { longHairpinsAsWords } from "../../score/dynamic_course.ts";
import { dynamicMark, dynamicOf, STRONG_THEN_SOFT } from "../../score/dynamics.ts";
import type { Bar, WrittenDynamic } from "../../score/model.ts";
import type { Figure } from "../../texture/figures.ts";
import { levelsOf } from "../plan/layer_dynamics.ts";
import type { PlacedAssignment } from "../plan/place_assignments.ts";

/** A note of a part with the layer it stands in. */
interface PlacedNote {
  readonly onsetTicks: Ticks;
  readonly durationTicks: Ticks;
  readonly untrilled?: true;
  readonly from:
    & Pick<PlacedAssignment, "assignment" | "toBarIndex">
    & Partial<Pick<PlacedAssignment, "figure">>;
}

/**
 * Dynamic signs of one part. Each layer begins with its mark, where that is new, the part has been silent, or a hairpin starts from it; a hairpin
 * runs from the layer's first note to the first of its last bar, or to its last note, where what it leads to is printed. Under a
 * single long note it ends on the note's last quarter. A swell has two, from the first note to a peak about halfway and on.
 * What grows or fades over more than four bars does so by a word. Figures that swell have a hairpin for each chord. `sfp`, `fp` and the like are printed as they are.
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
  let marked = 0;
  let soundedTo = 0;
  const mark = (onsetTicks: Ticks, dynamic: number, word: string = dynamicMark(dynamic)) => {
    signs.push({ onsetTicks, staff: 0, kind: "mark", mark: word });
    [running, marked] = [dynamic, onsetTicks];
  };
  const hairpin = ([from, to]: readonly [Ticks, Ticks], [low, high]: readonly [number, number]) => {
    const sign = { staff: 0, number: 1 };
    signs.push({ ...sign, onsetTicks: from, kind: high > low ? "crescendo" : "diminuendo" });
    signs.push({ ...sign, onsetTicks: to, kind: "stop" });
    mark(to, high);
  };
  for (const [{ assignment, toBarIndex, figure }, own] of Map.groupBy(notes, (n) => n.from)) {
    const first = own[0]!.onsetTicks;
    const end = Math.max(...own.map((n) => n.onsetTicks + n.durationTicks));
    const levels = levelsOf(assignment);
    const isAnew = isLongSilence(score, { fromTicks: soundedTo, toTicks: first });
    soundedTo = Math.max(soundedTo, end);
    if (figure?.swell !== undefined) {
      for (const { from, to, low, high, word } of swellsOf(own, figure.swell, { levels, ticksPerQuarter })) {
        mark(from, low, word);
        hairpin([from, to], [low, high]);
      }
      continue;
    }
    const places = hairpinPlaces(own, {
      count: levels.length - 1,
      lastBar: bars[toBarIndex]!.startTicks,
      ticksPerQuarter,
    });
    // A swell whose peak would lie over a rest has none: what is left is where it begins and where it ends.
    const shown = places.length < levels.length ? [levels[0]!, levels.at(-1)!] : levels;
    const isStruck = STRONG_THEN_SOFT.test(assignment.dynamic);
    // Nobody looks for the mark a hairpin starts from further back than a bar.
    const isFar = shown[1] !== shown[0] && first - marked > barLengthAt(bars, first);
    if (running !== levels[0] || isAnew || isStruck || isFar) {
      mark(first, levels[0]!, isStruck ? assignment.dynamic : undefined);
    }
    places.forEach((onsetTicks, leg) => {
      const [from, to, stop] = [shown[leg]!, shown[leg + 1], places[leg + 1]];
      if (to === undefined || stop === undefined || from === to) return;
      hairpin([onsetTicks, stop], [from, to]);
    });
  }
  return longHairpinsAsWords(signs, score);
}

/** How long the bar lasts in which a place lies. */
function barLengthAt(bars: readonly Bar[], ticks: Ticks): Ticks {
  return bars.findLast((b) => b.startTicks <= ticks)?.durationTicks ?? 0;
}

/** A hairpin under one note. */
interface NoteSwell {
  readonly from: Ticks;
  readonly to: Ticks;
  readonly low: number;
  readonly high: number;
  /** The mark it begins with, where that says more than how loud it is. */
  readonly word?: string;
}

/** Softest peak of a swell, and steps of dynamics that a roll grows by, from pp at the softest. Common practice, no source. */
const [LEAST_PEAK, ROLL_GROWS, ROLL_FROM] = [5, 3, 2];

/** The swells of a layer, one for each of its chords: up to its loudest dynamic, on the note's last quarter or the stroke it leads to. */
function swellsOf(
  notes: readonly PlacedNote[],
  swell: NonNullable<Figure["swell"]>,
  { levels, ticksPerQuarter }: { readonly levels: readonly number[]; readonly ticksPerQuarter: Ticks },
): readonly NoteSwell[] {
  const chords = [...Map.groupBy(notes, (n) => n.onsetTicks).values()].map((chord) => chord[0]!)
    .toSorted((a, b) => a.onsetTicks - b.onsetTicks);
  const high = Math.max(LEAST_PEAK, ...levels);
  return chords.flatMap(({ onsetTicks: from, durationTicks, untrilled }, i): readonly NoteSwell[] => {
    const end = from + durationTicks;
    const within = end - Math.min(ticksPerQuarter, durationTicks / 2);
    if (swell === "from sfp") return [{ from, to: within, low: dynamicOf("sfp")!, high, word: "sfp" }];
    if (untrilled) return [];
    const to = chords[i + 1]?.onsetTicks === end ? end : within;
    return [{ from, to, low: Math.max(ROLL_FROM, high - ROLL_GROWS), high }];
  });
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
