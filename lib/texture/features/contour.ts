/** Which way a line goes. */
import type { Note } from "../../score/model.ts";

/**
 * Which way some notes go: level on one pitch; rising or falling throughout; an arch up and down; a valley down and
 * up; waves where they turn more than once.
 */
export type LineContour = "none" | "level" | "rising" | "falling" | "arch" | "valley" | "waves";

/**
 * Contour of some notes.
 *
 * @param line notes one after another
 * @returns the contour; `none` without notes of definite pitch
 */
export function contourOf(line: readonly Note[]): LineContour {
  const pitched = line.filter((n) => !n.unpitched);
  const ways = pitched.slice(1).map((n, i) => Math.sign(n.soundingPitch - pitched[i]!.soundingPitch))
    .filter((way) => way !== 0);
  const turns = ways.slice(1).filter((way, i) => way !== ways[i]).length;
  if (pitched.length === 0) return "none";
  if (ways.length === 0) return "level";
  if (turns > 1) return "waves";
  const up = ways[0]! > 0;
  return turns === 0 ? (up ? "rising" : "falling") : up ? "arch" : "valley";
}
