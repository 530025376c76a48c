/** Rows of figures, one for each cell. */

/**
 * Rows of noughts, to be filled in: one for each cell that sounds, and one that stands for all that are silent. They lie
 * one after the other in one list, since thousands of lists take longer to make and to clear away than to fill.
 *
 * @param sounds for each cell, whether its part sounds
 * @param width figures in a row
 */
export function rowsFor(sounds: readonly boolean[], width: number): readonly Float64Array[] {
  const all = new Float64Array(sounds.length * width);
  const silent = new Float64Array(width);
  return sounds.map((isHeard, i) => isHeard ? all.subarray(i * width, (i + 1) * width) : silent);
}

/** Rows of figures that are written when they are asked for: kept for every cell they would take more time to make than to weigh. */
export interface RowsOf {
  /** Figures in a row. */
  readonly width: number;
  /** Writes the row of a cell that sounds over what is there. */
  readonly write: (row: Float64Array, cell: number) => void;
}

/** The row of one cell. */
export function rowAt({ width, write }: RowsOf, cell: number): Float64Array {
  const row = new Float64Array(width);
  write(row, cell);
  return row;
}
