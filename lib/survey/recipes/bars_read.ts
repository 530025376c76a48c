/** Bars of a score that a recipe is read off. */
import type { Instrument } from "../../instruments/catalogue.ts";
import type { Score } from "../../score/model.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";

/** Bars of a score with what is read in them. */
export interface BarsRead {
  readonly score: Score;
  readonly texture: Texture;
  /** What plays each part. */
  readonly instruments: readonly Instrument[];
  readonly from: number;
  readonly to: number;
}

/** Cells of a bar, by part. */
export function cellsOf({ score, texture }: BarsRead, bar: number): readonly RoleCell[] {
  return texture.cells.slice(bar * score.parts.length, (bar + 1) * score.parts.length);
}

export function* barsOf({ from, to }: BarsRead): Generator<number> {
  for (let b = from; b <= to; b++) yield b;
}
