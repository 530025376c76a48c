/** The texture a setting was written with. */
import { A_SCORE, checkArgument } from "../base/arguments.ts";
import { InputError } from "../base/errors.ts";
import { soundingNotes } from "../score/build.ts";
import type { Score, WrittenLayer } from "../score/model.ts";
import { barIndexOf } from "../score/time.ts";
import { roleDoes } from "./role_does.ts";
import { FIGURE_SHAPES } from "./figure_shapes.ts";
import { figureInWords, isFigureName } from "./figures.ts";
import type { Layer, RoleCell, Texture } from "./model.ts";
import { isRole } from "./roles.ts";

/**
 * The texture of a setting, taken from the layers it was written with: a part has its layer's role in the bars
 * in which it sounds.
 *
 * @param score a setting
 * @returns its texture, or undefined when the score was not realised from a plan
 * @throws {InputError} when a layer has a role or figure that there is none of
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
  const layers = score.layers.map(readLayer);
  const byId = new Map(layers.map((l) => [l.id, l]));
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
    const layer = id === undefined ? undefined : byId.get(id);
    const role = layer?.role ?? "rest";
    const figure = layer?.figure ?? "none";
    return {
      barIndex: Math.floor(i / parts),
      part: i % parts,
      role,
      figure,
      does: roleDoes(role, figure),
      confidence: 1,
      leadShare: role === "lead" ? 1 : 0,
      reason: layer ? `written as ${layer.figure}` : "silent",
      layer: layer?.id ?? "",
    };
  });
  return { origin: "written", cells, layers };
}

/** A layer as it was written, its words looked up. */
function readLayer({ id, role, figure, shape, parts, fromBarIndex, toBarIndex }: WrittenLayer): Layer {
  const wrong = isRole(role) ? undefined : `the role "${role}"`;
  const isOwn = FIGURE_SHAPES.some((s) => s.shape === shape);
  if (isRole(role) && (isOwn || isFigureName(figure))) {
    return { id, role, figure: figureInWords(figure), parts, fromBarIndex, toBarIndex };
  }
  throw new InputError({
    action: "read the texture",
    problem: `the layer "${id}" of the score has ${
      wrong ?? `the figure "${figure}"`
    }, which there is none of`,
    remedy: "Write the score anew with realise(), or leave its layers out",
  });
}
