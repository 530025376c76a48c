/** Played times become note values: the nearest place on a musical grid, beat by beat. */

/** Ticks to a quarter of a score read from MIDI: exact for 2, 3, 5, 7, 9, 10, 12, 16, 24 and 32 in a quarter. */
export const QUANTISED_TICKS_PER_QUARTER = 10080;

/** A played note, in quarters. */
export interface PlayedSpan {
  /** Start in quarters. */
  readonly from: number;
  /** End in quarters. */
  readonly to: number;
}

/** A note on the grid. */
export interface QuantisedSpan {
  /** Start in ticks. */
  readonly onsetTicks: number;
  /** Length in ticks, at least 1. */
  readonly durationTicks: number;
  /** How far the start was moved, in quarters; 0 where it stood on the grid. */
  readonly movedQuarters: number;
}

/** Divisions of a quarter, the plain before the rare, tried for files that stand on a grid already. */
const EXACT = [1, 2, 3, 4, 6, 8, 12, 5, 7, 9, 10, 16, 24, 32] as const;
/** Divisions of a quarter tried for files played by hand. */
const PLAYED = [1, 2, 3, 4, 6, 8, 12] as const;
/** What a finer division costs, in quarters of mean distance for each doubling: evenness is worth as much. Model assumption. */
const COST_PER_DOUBLING = 0.012;
/** Shortest note, as a division of a quarter. */
const SHORTEST = 32;

function distance(position: number, division: number): number {
  return Math.abs(position - Math.round(position * division) / division);
}

/** The division of one quarter that its onsets stand on. */
function divisionOf(positions: readonly number[], tolerance: number): number {
  const exact = EXACT.find((d) => positions.every((p) => distance(p, d) < tolerance));
  if (exact !== undefined) return exact;
  let best: number = PLAYED[0];
  let least = Infinity;
  for (const division of PLAYED) {
    const mean = positions.reduce((sum, p) => sum + distance(p, division), 0) / positions.length;
    const cost = mean + COST_PER_DOUBLING * Math.log2(division);
    if (cost < least) [best, least] = [division, cost];
  }
  return best;
}

/**
 * Moves the notes of one part onto a musical grid. Every quarter is divided as its own onsets ask: exactly, when
 * they stand on a division of 1 to 32 to within half a tick of the file; otherwise by the division into 1, 2, 3,
 * 4, 6, 8 or 12 that lies nearest, finer ones counting as dearer. Ends go to the nearest place of the same
 * division, or of sixteenths where that is coarser.
 *
 * @param spans played notes of one part
 * @param toleranceQuarters half a tick of the file, in quarters
 * @returns a note on the grid for each, in the same order
 */
export function quantise(
  spans: readonly PlayedSpan[],
  toleranceQuarters: number,
): readonly QuantisedSpan[] {
  const byQuarter = new Map<number, number[]>();
  // An onset just before a beat belongs to it.
  const quarterOf = (position: number) => Math.floor(position + Math.max(toleranceQuarters, 1 / 24));
  for (const { from } of spans) {
    const list = byQuarter.get(quarterOf(from));
    if (list) list.push(from);
    else byQuarter.set(quarterOf(from), [from]);
  }
  const divisions = new Map<number, number>();
  for (const [quarter, positions] of byQuarter) {
    divisions.set(quarter, divisionOf(positions, toleranceQuarters));
  }
  const ticksOf = (position: number, division: number) =>
    Math.round(position * division) * QUANTISED_TICKS_PER_QUARTER / division;
  return spans.map(({ from, to }) => {
    const division = divisions.get(quarterOf(from))!;
    const onsetTicks = ticksOf(from, division);
    const exactEnd = EXACT.find((d) => distance(to, d) < toleranceQuarters);
    const own = divisions.get(quarterOf(to)) ?? division;
    const endTicks = ticksOf(to, exactEnd ?? Math.max(4, own % 3 === 0 ? own * (own === 3 ? 2 : 1) : own));
    const moved = distance(from, division);
    return {
      onsetTicks,
      durationTicks: Math.max(QUANTISED_TICKS_PER_QUARTER / SHORTEST, endTicks - onsetTicks),
      movedQuarters: moved < toleranceQuarters ? 0 : moved,
    };
  });
}
