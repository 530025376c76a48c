/** The strong and weak places of a bar, so that note values can be split where a reader expects it. */
import { fullBarTicks, groupStarts, isInThrees } from "../../../score/time.ts";

/** Places of one rank. */
interface StrongestPlaces {
  readonly level: number;
  readonly first: number;
  readonly last: number;
}

/** A bar, or a tuplet, as a ladder of ever finer divisions. */
export interface MetreLevels {
  readonly lengthTicks: number;
  /** Rank of a place: 0 at the bar's ends, 1 at its main division, larger is weaker. */
  readonly levelAt: (ticks: number) => number;
  /** The strongest places strictly between two others, among the multiples of a grid; undefined where none is there. */
  readonly strongestBetween: (from: number, to: number, grid: number) => StrongestPlaces | undefined;
  /** True when the stretch between places of this rank divides in three, as a dotted beat does. */
  readonly ternary: (level: number) => boolean;
  /** Whether a stretch is a whole group of three short values in a bar of unequal groups, as the last of 2+2+3. */
  readonly isGroupOfThree: (from: number, to: number) => boolean;
  /** Length in ticks of the stretch between places of this rank. */
  readonly unitAt: (level: number) => number;
}

/** First and last multiple of a unit, counted from a shift, that lies strictly inside and on a grid. */
function multiplesInside(
  { from, to, grid }: { readonly from: number; readonly to: number; readonly grid: number },
  unit: number,
  shift: number,
): readonly [first: number, last: number] | undefined {
  // After as many units as the grid has ticks, the same places of the grid come again.
  let first = (Math.floor((from + shift) / unit) + 1) * unit - shift;
  for (let i = 0; i < grid && first < to && first % grid !== 0; i++) first += unit;
  if (first >= to || first % grid !== 0) return undefined;
  let last = (Math.ceil((to + shift) / unit) - 1) * unit - shift;
  while (last % grid !== 0) last -= unit;
  return [first, last];
}

/** Builds the ladder from unit lengths, each dividing the one before, counted from a shift. */
function ladder(
  lengthTicks: number,
  shift: number,
  units: readonly number[],
  marks: readonly number[],
  { shortUnit }: { readonly shortUnit?: number } = {},
): MetreLevels {
  const whole = [...units];
  while ((whole.at(-1)! / 2) % 1 === 0 && whole.length < 12) whole.push(whole.at(-1)! / 2);
  const offset = marks.length > 0 ? 1 : 0;
  return {
    lengthTicks,
    levelAt(ticks) {
      if (ticks <= 0 || ticks >= lengthTicks) return 0;
      const place = ticks + shift;
      if (marks.includes(place)) return 1;
      const index = whole.findIndex((unit) => place % unit === 0);
      return 1 + offset + (index < 0 ? whole.length : index);
    },
    strongestBetween(from, to, grid) {
      const span = { from, to, grid };
      const marked = marks.map((mark) => mark - shift)
        .filter((at) => at > from && at < to && at % grid === 0);
      if (marked.length > 0) return { level: 1, first: marked[0]!, last: marked.at(-1)! };
      for (let index = 0; index < whole.length; index++) {
        const found = multiplesInside(span, whole[index]!, shift);
        if (found) return { level: 1 + offset + index, first: found[0], last: found[1] };
      }
      const found = multiplesInside(span, grid, 0);
      return found && { level: 1 + offset + whole.length, first: found[0], last: found[1] };
    },
    ternary(level) {
      const index = level - 1 - offset;
      return index >= 0 && index + 1 < whole.length && whole[index]! / whole[index + 1]! === 3;
    },
    isGroupOfThree(from, to) {
      const isEdge = (at: number) => at <= 0 || at >= lengthTicks || marks.includes(at + shift);
      return marks.length > 0 && shortUnit !== undefined && to - from === 3 * shortUnit && isEdge(from) &&
        isEdge(to) && !marks.some((mark) => mark - shift > from && mark - shift < to);
    },
    unitAt(level) {
      return whole[level - 1 - offset] ?? 0;
    },
  };
}

/** What the ladder of a bar is built from. */
export interface MetreInput {
  readonly beats: number;
  readonly beatUnit: number;
  /** Groups in which the bar is counted, where the source says. */
  readonly groups?: readonly number[];
  /** Real length of the bar in ticks. */
  readonly durationTicks: number;
  readonly ticksPerQuarter: number;
  /** True where a short bar is the end of a full one. */
  readonly pickup: boolean;
}

/** Length of the felt beat: a dotted value in compound metres (6/8, 9/8, 12/16 ...), else the lower figure's. */
export function feltBeatTicks(
  metre: Pick<MetreInput, "beats" | "beatUnit" | "groups" | "ticksPerQuarter">,
): number {
  const unit = metre.ticksPerQuarter * 4 / metre.beatUnit;
  return isInThrees(metre) ? unit * 3 : unit;
}

/** Ticks of a full bar that are missing before a pickup. */
export function pickupShift(metre: MetreInput): number {
  return metre.pickup ? Math.max(0, fullBarTicks(metre, metre.ticksPerQuarter) - metre.durationTicks) : 0;
}

/** The ladder of a bar. */
export function barLevels(metre: MetreInput): MetreLevels {
  const unit = metre.ticksPerQuarter * 4 / metre.beatUnit;
  const beat = feltBeatTicks(metre);
  const count = metre.beats * unit / beat;
  const units: number[] = [];
  if (count > 2 && count % 2 === 0) units.push(beat * 2);
  units.push(beat);
  if (beat !== unit) units.push(unit);
  // In 2/2 and 4/2 the beat is a half note: the ladder goes on by halves, which `ladder` does.
  const marks = groupStarts({
    beats: count,
    ...(beat === unit && metre.groups ? { groups: metre.groups } : {}),
  })
    .slice(1).map((at) => at * beat);
  const short = metre.beatUnit >= 8 ? { shortUnit: unit } : {};
  return ladder(metre.durationTicks, pickupShift(metre), units, marks, short);
}

/** The ladder of a tuplet, counted in its own values. */
export function tupletLevels(unitTicks: number, count: number): MetreLevels {
  return ladder(
    unitTicks * count,
    0,
    count % 2 === 0 && count > 2 ? [unitTicks * 2, unitTicks] : [unitTicks],
    [],
  );
}
