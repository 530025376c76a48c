/** The texture a measure goes by, checked against the score it is given with. */
import { A_SCORE, A_TEXTURE, checkArgument } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../model.ts";
import { textureOf } from "./recognise.ts";

/**
 * The texture to measure by: the caller's own, or else the written or recognised one.
 *
 * @param action what is being done, as a verb phrase
 * @param score the score
 * @param texture the caller's, if any
 * @returns the texture
 * @throws {InputError} when there is no score, or the texture is none or another score's
 */
export function givenTexture(action: string, score: Score, texture: Texture | undefined): Texture {
  checkArgument(action, score, A_SCORE);
  if (texture === undefined) return textureOf(score);
  checkArgument(action, texture, A_TEXTURE);
  const [bars, parts] = [score.bars.length, score.parts.length];
  if (texture.cells.length === bars * parts) return texture;
  throw new InputError({
    action,
    problem: `the texture is of another score: it has ${texture.cells.length} cells, ` +
      `where ${bars} bars of ${parts} parts have ${bars * parts}`,
    remedy: "Give what textureOf(score) gives for this score, or leave it out",
  });
}
