/** The rhythm a part's bar is made of. */
import type { Note } from "../../score/model.ts";
import { strokeTicks } from "../../score/tremolo.ts";
import type { FigureStroke } from "../figures.ts";

/** A rhythm that fills a bar once or several times. */
export interface RhythmCell {
  /** Length in quarter notes. */
  readonly quarters: number;
  /** Strokes within it, in quarter notes from its start; slashed notes written out. */
  readonly strokes: readonly FigureStroke[];
}

/** Lengths of cells in quarters that are tried, the shortest first. */
const CELL_QUARTERS = [1, 3 / 2, 2, 3, 4];
/** Times are the same within this part of a quarter. */
const GRID = 48;

/** Strokes of a bar, slashes written out, in grid steps from the bar line. */
function strokesOf(
  line: readonly Note[],
  { startTicks, ticksPerQuarter }: BarGrid,
): readonly { readonly at: number; readonly length: number }[] {
  const step = ticksPerQuarter / GRID;
  return line.flatMap((note) => {
    const each = strokeTicks(note, ticksPerQuarter);
    const count = Math.max(1, Math.round(note.durationTicks / each));
    return Array.from({ length: count }, (_, i) => ({
      at: Math.round((note.onsetTicks - startTicks + i * each) / step),
      length: Math.round(each / step),
    }));
  });
}

/** Where a bar lies on the grid of its score. */
interface BarGrid {
  /** Start of the bar. */
  readonly startTicks: number;
  /** Its length. */
  readonly durationTicks: number;
  /** Grid of the score. */
  readonly ticksPerQuarter: number;
}

/**
 * The shortest rhythm that, repeated, makes up a bar; the whole bar where nothing repeats.
 *
 * @param line notes that begin in the bar
 * @param bar where it lies
 * @returns the cell; no strokes where nothing begins
 */
export function rhythmCell(line: readonly Note[], bar: BarGrid): RhythmCell {
  const quarters = bar.durationTicks / bar.ticksPerQuarter;
  const strokes = strokesOf(line, bar);
  const inQuarters = (list: typeof strokes): readonly FigureStroke[] =>
    list.map(({ at, length }) => ({ at: at / GRID, length: length / GRID }));
  for (const cell of CELL_QUARTERS) {
    const times = quarters / cell;
    if (times < 2 || !Number.isInteger(times)) continue;
    const texts = Array.from({ length: times }, (_, i) => {
      const from = Math.round(i * cell * GRID);
      return strokes.filter((s) => s.at >= from && s.at < from + cell * GRID)
        .map((s) => `${s.at - from} ${s.length}`).join(", ");
    });
    if (texts[0] !== "" && texts.every((t) => t === texts[0])) {
      return { quarters: cell, strokes: inQuarters(strokes.filter((s) => s.at < cell * GRID)) };
    }
  }
  return { quarters, strokes: inQuarters(strokes) };
}
