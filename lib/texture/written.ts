/** The texture a setting was written with. */
import { A_SCORE, checkArgument } from "../base/arguments.ts";
import { soundingNotes } from "../score/build.ts";
import type { Score } from "../score/model.ts";
import { barIndexOf } from "../score/time.ts";
import { roleDoes } from "./broad_kinds.ts";
import type { Layer, RoleCell, Texture } from "./model.ts";
import type { Role } from "./roles.ts";

/**
 * The texture of a setting, taken from the layers it was written with: a part has its layer's role in the bars
 * in which it sounds.
 *
 * @param score a setting
 * @returns its texture, or undefined when the score was not realised from a plan
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { writtenTexture } from "ripieno/texture";
 * import { assertEquals } from "@std/assert";
 * assertEquals(writtenTexture(demoScore())?.cells[0]?.role, "lead");
 * ```
 */
export function writtenTexture(score: Score): Texture | undefined {
  checkArgument("read the texture", score, A_SCORE);
  if (!score.layers) return undefined;
  const parts = score.parts.length;
  const layers = new Map(score.layers.map((l) => [l.id, l]));
  const ofCell = new Array<string | undefined>(score.bars.length * parts).fill(undefined);
  for (const note of soundingNotes(score)) {
    const first = barIndexOf(score, note.onsetTicks);
    const last = barIndexOf(score, note.onsetTicks + note.durationTicks - 1);
    for (let b = first; b <= last; b++) {
      const cell = b * parts + note.part;
      // What begins in the bar counts before what is held into it.
      if (ofCell[cell] === undefined || b === first) ofCell[cell] = note.layer;
    }
  }
  const cells = ofCell.map((id, i): RoleCell => {
    const layer = id === undefined ? undefined : layers.get(id);
    const role = (layer?.role as Role | undefined) ?? "rest";
    const figure = layer?.figure ?? "none";
    return {
      barIndex: Math.floor(i / parts),
      part: i % parts,
      role,
      figure,
      does: roleDoes(role, figure),
      confidence: 1,
      reason: layer ? `written as ${layer.figure}` : "silent",
      layer: layer?.id ?? "",
    };
  });
  return {
    origin: "written",
    cells,
    layers: score.layers.map((l): Layer => ({
      id: l.id,
      role: l.role as Role,
      figure: l.figure,
      parts: l.parts,
      fromBarIndex: l.fromBarIndex,
      toBarIndex: l.toBarIndex,
    })),
  };
}
