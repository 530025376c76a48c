/** How a bar is counted that is neither in twos nor in threes, as the beams over its notes show. */
import { beatGroups } from "../../score/time.ts";

/** A note head of a bar. */
interface BeamedHead {
  /** Start in units of the lower figure, from the bar line. */
  readonly at: number;
  /** Whether a beam joins it to the note before. */
  readonly joined: boolean;
}

/** A time signature without groups. */
interface PlainMetre {
  readonly beats: number;
  readonly beatUnit: number;
}

/** Whether a metre of eighths or shorter values may be counted in more than one way; 6/8 is in threes. Common practice, no source. */
export function mayBeInGroups({ beats, beatUnit }: PlainMetre): boolean {
  return beatUnit >= 8 && beats >= 5 && beats !== 6 && beats <= 15;
}

/** All ways to count so many units in twos and threes. */
function waysToCount(beats: number): readonly (readonly number[])[] {
  if (beats === 0) return [[]];
  return [2, 3].filter((n) => n <= beats).flatMap((n) => waysToCount(beats - n).map((rest) => [n, ...rest]));
}

/**
 * How far some heads agree with a way of counting: where a group begins no beam should reach over, elsewhere beams should
 * hold together. Two groups of two may stand under one beam.
 */
function agreement(groups: readonly number[], heads: readonly BeamedHead[]): number {
  let start = 0;
  const mayJoin = new Map<number, boolean>();
  groups.forEach((n, i) => {
    if (i > 0) mayJoin.set(start, n === 2 && groups[i - 1] === 2);
    start += n;
  });
  return heads.filter(({ at }) => at > 0 && Number.isInteger(at)).reduce((sum, { at, joined }) => {
    const isStart = mayJoin.has(at);
    if (isStart && joined) return sum - (mayJoin.get(at) ? 0 : 1);
    return sum + (isStart === !joined ? 1 : -1);
  }, 0);
}

/**
 * Groups in which bars of one metre are counted, by their beams: the way of counting with which most of the beams of all
 * bars agree.
 *
 * @param metre beats and beat unit of the bars
 * @param heads note heads of all full bars and all lines
 * @returns groups in units of the lower figure; undefined where beams show none, or the usual ones
 */
export function groupsFromBeams(
  metre: PlainMetre,
  heads: readonly BeamedHead[],
): readonly number[] | undefined {
  const { beats } = metre;
  if (!mayBeInGroups(metre) || !heads.some((h) => h.joined)) return undefined;
  const usual = beats % 3 === 0 ? new Array<number>(beats / 3).fill(3) : beatGroups({ beats });
  const ways = waysToCount(beats).map((groups) => ({ groups, agrees: agreement(groups, heads) }));
  const most = Math.max(...ways.map((way) => way.agrees));
  const best = ways.filter((way) => way.agrees === most);
  if (most <= 0 || best.length > 1 || best[0]!.groups.join() === usual.join()) return undefined;
  const isPlain = best[0]!.groups.every((n) => n === 2);
  return isPlain ? undefined : best[0]!.groups;
}
