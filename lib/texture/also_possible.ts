/** Parts that may be the lead as well. */
import { A_ROLE_CELL, checkArgument } from "../base/arguments.ts";
import type { RoleCell } from "./model.ts";
import { RULES } from "./rules.ts";

/**
 * Whether a part that is not called lead may be the lead all the same. People who mark the main line in scores agree with
 * each other in seven bars out of eight, so a reading says who else it may be.
 *
 * @param cell what the part does in the bar
 * @returns true where it sounds, has another role than lead, and at least 0.05 of the lead
 *
 * @example
 * ```ts
 * import { demoScore, recognise } from "ripieno";
 * import { isAlsoPossible } from "ripieno/texture";
 * import { assert } from "@std/assert";
 * const { cells } = recognise(demoScore());
 * assert(cells.filter(isAlsoPossible).every((c) => c.role !== "lead" && c.leadShare > 0));
 * ```
 */
export function isAlsoPossible(cell: RoleCell): boolean {
  checkArgument("tell whether a part may lead", cell, A_ROLE_CELL);
  return mayLeadToo(cell);
}

/** The same of a reading that is not yet a cell. */
export function mayLeadToo({ role, leadShare }: Pick<RoleCell, "role" | "leadShare">): boolean {
  return role !== "lead" && role !== "rest" && leadShare >= RULES.alsoPossibleFrom;
}
