/** Which bars stand on a line, so that all lines are about as full. */

/**
 * Breaks bars into as few lines as hold them, the fullest as empty as it can be.
 *
 * @param widths widths of the bars
 * @param room width of a line without clefs and names; a bar that is wider has a line of its own
 * @returns indexes of the bars that begin a line, without the first
 */
export function lineBreaks(widths: readonly number[], room: number): ReadonlySet<number> {
  const lines = linesNeeded(widths, room);
  // The least room that still does with so many lines, found by halving.
  let [least, most] = [Math.max(...widths), Math.max(room, ...widths)];
  for (let i = 0; i < 30; i++) {
    const middle = (least + most) / 2;
    if (linesNeeded(widths, middle).length > lines.length) least = middle;
    else most = middle;
  }
  return new Set(linesNeeded(widths, most));
}

/** Where lines begin, without the first, when each is filled as far as there is room. */
function linesNeeded(widths: readonly number[], room: number): readonly number[] {
  const begins: number[] = [];
  let used = 0;
  for (const [bar, width] of widths.entries()) {
    if (bar > 0 && used + width > room * (1 + 1e-9)) {
      begins.push(bar);
      used = 0;
    }
    used += width;
  }
  return begins;
}
