/** Trying a grid of choices. What works the rows out is loaded when it is asked for. */
import type { Plan } from "../plan/plan.ts";
import type { SweepGrid } from "./sweep_grid.ts";
import type { SweepOptions } from "./sweep_options.ts";
import type { SweepRow } from "./sweep_rows.ts";

/**
 * Tries every combination of a grid of choices: each is put into the plan, written over the sketch, checked and measured.
 * A setting that cannot be written or played is a row that says why.
 *
 * Rows come in the order of the grid, whatever the order they were finished in: the last choice (of sketch, who, figure,
 * articulation, dynamic, tempo, sectionSize) varies fastest. The same sweep gives the same rows, in one thread or many,
 * in one go or with interruptions.
 *
 * @param plan the plan the choices are put into
 * @param grid the choices and their values
 * @param options sketch, orchestra, layers, measures, file, progress
 * @returns one flat row per setting, ready for a chart, `effects` or `tableToCsv`
 * @throws {InputError} when there is no sketch, a name is unknown, or the file belongs to another sweep
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, sweep } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const rows = await sweep(
 *   demoPlans().moving,
 *   { figure: ["repeated eighths", "repeated sixteenths"], articulation: ["tongued", "slurred"] },
 *   { sketch: demoSketch(), layers: { role: "pulse" } },
 * );
 * assertEquals(rows.map((r) => [r.figure, r.articulation, r.refused === null]), [
 *   ["repeated eighths", "tongued", true],
 *   ["repeated eighths", "slurred", false], // one pitch repeated cannot be slurred
 *   ["repeated sixteenths", "tongued", true],
 *   ["repeated sixteenths", "slurred", false],
 * ]);
 * ```
 */
export async function sweep(
  plan: Plan,
  grid: SweepGrid,
  options: SweepOptions = {},
): Promise<readonly SweepRow[]> {
  const { sweptRows } = await import("./swept_rows.ts");
  return sweptRows(plan, grid, options);
}
