/** Played times become note values: the nearest place on a musical grid, beat by beat. */

/** Ticks to a quarter of a score read from MIDI: exact for 2, 3, 5, 7, 9, 10, 12, 16, 24 and 32 in a quarter. */
export const QUANTISED_TICKS_PER_QUARTER = 10080;

/** A played note, in quarters. */
interface PlayedSpan {
  readonly from: number;
  readonly to: number;
}

/** A note on the grid. */
interface QuantisedSpan {
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
/** Divisions of a quarter at which notes end, the plain before the fine. */
const PLAIN_ENDS = [1, 2, 3, 4, 6, 8, 12, 16, 24, 32] as const;
/** Share of its length by which a note may end early or late and still be meant to fill its value; model assumption. */
const LET_GO_SHARE = 0.07;
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

/** Position on the grid of a division. */
function ticksOf(position: number, division: number): number {
  return Math.round(position * division) * QUANTISED_TICKS_PER_QUARTER / division;
}

/** Where a note ends: players and programs let go a little early, so the plainest place near its end is meant. */
function endOf(
  span: PlayedSpan,
  options: { readonly toleranceQuarters: number; readonly divisions: readonly number[] },
): number {
  const { toleranceQuarters, divisions } = options;
  const exact = [...PLAIN_ENDS, ...divisions].find((d) => distance(span.to, d) < toleranceQuarters);
  if (exact !== undefined) return ticksOf(span.to, exact);
  const near = (span.to - span.from) * LET_GO_SHARE;
  const inThrees = divisions.some((d) => d % 3 === 0);
  const plain = PLAIN_ENDS.find((d) => (d % 3 !== 0 || inThrees) && distance(span.to, d) <= near);
  return ticksOf(span.to, plain ?? Math.max(4, ...divisions));
}

/**
 * Moves the notes of one part onto a musical grid. Every quarter is divided as its own onsets ask: exactly,
 * when they stand on a division of 1 to 32 to within half a tick of the file; otherwise by the division into
 * 1, 2, 3, 4, 6, 8 or 12 that lies nearest, finer ones counting as dearer. Ends that stand on no division go
 * to the plainest place within 7 hundredths of the note's length, or else to the nearest one.
 */
export function quantise(
  spans: readonly PlayedSpan[],
  toleranceQuarters: number,
): readonly QuantisedSpan[] {
  // An onset just before a beat belongs to it.
  const quarterOf = (position: number) => Math.floor(position + Math.max(toleranceQuarters, 1 / 24));
  const divisions = new Map<number, number>();
  for (const [quarter, own] of Map.groupBy(spans, (span) => quarterOf(span.from))) {
    divisions.set(quarter, divisionOf(own.map((span) => span.from), toleranceQuarters));
  }
  return spans.map(({ from, to }) => {
    const division = divisions.get(quarterOf(from))!;
    const onsetTicks = ticksOf(from, division);
    const ends = [division, divisions.get(quarterOf(to)) ?? division];
    const endTicks = endOf({ from, to }, { toleranceQuarters, divisions: ends });
    const moved = distance(from, division);
    return {
      onsetTicks,
      durationTicks: Math.max(QUANTISED_TICKS_PER_QUARTER / SHORTEST, endTicks - onsetTicks),
      movedQuarters: moved < toleranceQuarters ? 0 : moved,
    };
  });
}
