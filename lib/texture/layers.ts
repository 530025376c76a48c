/** Cells put together into layers. */
import type { FigureName } from "./figures.ts";
import type { Layer, RoleCell } from "./model.ts";
import type { Role } from "./roles.ts";

/**
 * Name of the layer a recognised cell belongs to: parts with the same role and figure are one layer, and all that
 * leads is one.
 *
 * @param role role of the cell
 * @param figure figure of the cell
 * @returns the name, empty for a rest
 */
export function layerName(role: Role, figure: FigureName): string {
  return role === "rest" ? "" : role === "lead" ? "lead" : `${role}: ${figure}`;
}

/**
 * Runs of bars in which the same parts make a layer.
 *
 * @param cells cells by bar, then part
 * @param parts number of parts
 * @returns layers by first bar
 */
export function layersOf(cells: readonly RoleCell[], parts: number): readonly Layer[] {
  const bars = cells.length / Math.max(1, parts);
  const done: Layer[] = [];
  let open = new Map<string, Omit<Layer, "toBarIndex">>();
  const close = (key: string, toBarIndex: number) => done.push({ ...open.get(key)!, toBarIndex });
  for (let b = 0; b < bars; b++) {
    const here: typeof open = new Map();
    const row = cells.slice(b * parts, (b + 1) * parts).filter((c) => c.role !== "rest");
    for (const [id, group] of Map.groupBy(row, (c) => c.layer)) {
      const { role, figure } = group[0]!;
      const members = group.map((c) => c.part);
      const key = `${id}|${members.join(" ")}`;
      here.set(key, open.get(key) ?? { id, role, figure, parts: members, fromBarIndex: b });
    }
    for (const key of open.keys()) if (!here.has(key)) close(key, b - 1);
    open = here;
  }
  for (const key of open.keys()) close(key, bars - 1);
  return done.sort((a, b) => a.fromBarIndex - b.fromBarIndex || a.id.localeCompare(b.id));
}
