/** Who does what after some parts were written anew. */
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import { figuresFor } from "../../texture/figures.ts";
import { layerName, layersOf } from "../../texture/layers.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { roleDoes } from "../../texture/role_does.ts";
import type { PlacedWish } from "./place_wishes.ts";
import { figureNameOf } from "./wish.ts";

/** The texture before with the cells of what was written; where a part is silent now, it rests. */
export function rewrittenTexture(score: Score, texture: Texture, placed: readonly PlacedWish[]): Texture {
  const parts = score.parts.length;
  const sounding = new Set<number>();
  for (const n of soundingNotes(score)) {
    const last = barIndexOf(score, n.onsetTicks + n.durationTicks - 1);
    for (let b = barIndexOf(score, n.onsetTicks); b <= last; b++) sounding.add(b * parts + n.part);
  }
  const cells = [...texture.cells];
  for (const { wish, bars, parts: own } of placed) {
    if (wish.role === undefined) continue;
    for (let b = bars.fromBarIndex; b <= bars.toBarIndex; b++) {
      for (const part of own) {
        const at = b * parts + part;
        const isSilent = wish.role === "rest" || !sounding.has(at);
        const role = isSilent ? "rest" : wish.role;
        const figure = isSilent ? "none" : figureNameOf(wish) ?? figuresFor(role)[0]!.id;
        const cell: RoleCell = {
          barIndex: b,
          part,
          role,
          figure: figure as RoleCell["figure"],
          does: roleDoes(role, figure as RoleCell["figure"]),
          confidence: 1,
          leadShare: role === "lead" ? 1 : 0,
          reason: isSilent ? "silent" : `written as ${figure}`,
          layer: isSilent ? "" : layerName(role, figure as RoleCell["figure"]),
        };
        cells[at] = cell;
      }
    }
  }
  return { ...texture, cells, layers: layersOf(cells, parts) };
}
