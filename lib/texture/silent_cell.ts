/** A part that is silent in a bar. */
import type { RoleCell } from "./model.ts";

/** A cell as it is when its notes have gone: the part rests in the bar, for the reason given. */
export function silentCell(cell: RoleCell, reason: string): RoleCell {
  return { ...cell, role: "rest", figure: "none", does: "silent", leadShare: 0, layer: "", reason };
}
