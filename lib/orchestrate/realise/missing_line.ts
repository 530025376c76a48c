/** Layers that ask for a line of the sketch where it has none. */
import type { Bar } from "../../score/model.ts";
import type { Figure } from "../../texture/figures.ts";
import { type PlacedAssignment, placeError } from "../plan/place_assignments.ts";
import type { Plan } from "../plan/plan.ts";
import type { Sketch } from "../plan/sketch.ts";

/** A line of a sketch that a figure asks for, with what else its role could do. */
interface MissingLine {
  readonly line: "inner voices" | "a bass line";
  readonly instead: "second line" | "sustained bass";
}

/** The line of a sketch that a figure asks for and does not find in some bars; undefined where it finds it, or asks for none. */
export function missingLine(
  { asWritten, role }: Figure,
  { innerVoices, bassLine }: Sketch,
  [first, last]: readonly [Bar, Bar],
): MissingLine | undefined {
  if (asWritten === undefined) return undefined;
  const notes = role === "bass" ? bassLine : innerVoices.flat();
  const end = last.startTicks + last.durationTicks;
  const isThere = notes.some((n) => n.onsetTicks < end && n.onsetTicks + n.durationTicks > first.startTicks);
  if (isThere) return undefined;
  return role === "bass"
    ? { line: "a bass line", instead: "sustained bass" }
    : { line: "inner voices", instead: "second line" };
}

/** Refuses layers for which the sketch has no line. */
export function refuseMissingLines(plan: Plan, placed: readonly PlacedAssignment[], sketch: Sketch): void {
  const { bars } = sketch.score;
  for (const { figure, fromBarIndex, toBarIndex, passage, assignment } of placed) {
    const [first, last] = [bars[fromBarIndex]!, bars[toBarIndex]!];
    const missing = missingLine(figure, sketch, [first, last]);
    if (missing === undefined) continue;
    const where = first === last ? `bar ${first.number}` : `bars ${first.number} to ${last.number}`;
    throw placeError({ plan, passage, assignment }, {
      problem: `the sketch does not have ${missing.line} in ${where}`,
      column: "figure",
      remedy:
        `Use the figure "${missing.instead}", or write the line into the sketch, in a study as a table with --lines`,
    });
  }
}
