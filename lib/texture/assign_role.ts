/** A reading corrected by hand. */
import { A_NUMBER, A_TEXT, A_TEXTURE, checkArgument, checkOptions, oneOf } from "../base/arguments.ts";
import { roleDoes } from "./role_does.ts";
import { figureInWords, type FigureName } from "./figures.ts";
import { layerName, layersOf } from "./layers.ts";
import type { RoleCell, Texture } from "./model.ts";
import { type Role, ROLE_NAMES } from "./roles.ts";

const CORRECTION = {
  part: A_NUMBER,
  fromBarIndex: A_NUMBER,
  toBarIndex: A_NUMBER,
  role: oneOf(ROLE_NAMES),
  figure: A_TEXT,
};

/**
 * The same texture with one part's role corrected by hand over some bars; everything measured from it follows.
 *
 * @param texture the texture; not changed
 * @param correction part index, bar indexes (inclusive, from 0), the right role and, if wanted, figure, in the table's
 *   words or your own
 * @returns the corrected texture
 *
 * @example
 * ```ts
 * import { assignRole, demoScore, recognise } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const texture = assignRole(recognise(demoScore()), { part: 0, fromBarIndex: 0, toBarIndex: 3, role: "counterline" });
 * assertEquals(texture.cells[0]?.role, "counterline");
 * ```
 */
export function assignRole(
  texture: Texture,
  correction: {
    readonly part: number;
    readonly fromBarIndex: number;
    readonly toBarIndex: number;
    readonly role: Role;
    readonly figure?: string;
  },
): Texture {
  checkArgument("correct the texture", texture, A_TEXTURE);
  checkOptions("correct the texture", correction, CORRECTION);
  const { part, fromBarIndex, toBarIndex, role } = correction;
  const own: FigureName | undefined = correction.figure === undefined
    ? undefined
    : figureInWords(correction.figure);
  const cells = texture.cells.map((c): RoleCell => {
    if (c.part !== part || c.barIndex < fromBarIndex || c.barIndex > toBarIndex) return c;
    const figure = role === "rest" ? "none" : own ?? (role === c.role ? c.figure : role);
    const does = roleDoes(role, figure);
    return {
      ...c,
      role,
      figure,
      does,
      confidence: 1,
      leadShare: role === "lead" ? 1 : 0,
      reason: "corrected by hand",
      layer: layerName(role, figure),
    };
  });
  const parts = new Set(cells.map((c) => c.part)).size;
  return { ...texture, cells, layers: layersOf(cells, parts) };
}
