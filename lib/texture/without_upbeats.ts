/** What parts do from bar to bar, upbeats counted with the bars they lead into. */
import type { RoleCell, Texture } from "./model.ts";
import { silentCell } from "./silent_cell.ts";

/**
 * The cells of a texture in which a part that has no more of a bar than the upbeat to its layer is silent there: who leads
 * from bar 9 on, and comes in on the last beat of bar 8, does not lead in bar 8.
 */
export function withoutUpbeats(
  { cells, origin, layers }: Pick<Texture, "cells" | "origin" | "layers">,
): readonly RoleCell[] {
  // What is read off the notes has no layers that begin at a bar line by plan.
  if (origin !== "written") return cells;
  const firstOf = new Map<string, number>();
  for (const { id, fromBarIndex } of layers) {
    firstOf.set(id, Math.min(fromBarIndex, firstOf.get(id) ?? Infinity));
  }
  return cells.map((cell) =>
    cell.barIndex < (firstOf.get(cell.layer) ?? cell.barIndex) ? silentCell(cell, "upbeat") : cell
  );
}
