/** Where two readings of one score differ. */
import { A_SCORE, A_TEXTURE, checkArgument, checkOptions } from "../base/arguments.ts";
import { InputError } from "../base/errors.ts";
import type { Score } from "../score/model.ts";
import type { Share } from "../base/units.ts";
import type { RoleCell, Texture } from "./model.ts";

/** Bars in which a part is read one way here and another way there. */
export interface TextureDifference {
  /** Part index. */
  readonly part: number;
  /** Its name. */
  readonly partName: string;
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
  /** The bars as printed, such as `17` or `17–24`. */
  readonly bars: string;
  /** Role and figure in the first texture. */
  readonly first: string;
  /** Role and figure in the second. */
  readonly second: string;
}

/** How far two textures of one score agree. */
export interface TextureAgreement {
  /** Cells, bar by part, in which the part sounds in either. */
  readonly cells: number;
  /** Share of them with the same role. */
  readonly sameRole: Share;
  /** Share of them with the same role and the same figure. */
  readonly sameFigure: Share;
  /** Where roles differ, by part, then bar; neighbouring bars that differ alike are one row. */
  readonly differences: readonly TextureDifference[];
}

/** What a comparison of textures needs beside them. */
export interface TextureDifferencesOptions {
  /** The score both belong to, for names of parts and numbers of bars. */
  readonly score: Score;
}

const inWords = ({ role, figure }: RoleCell) =>
  role === "rest" || role === figure ? role : `${role}: ${figure}`;

/**
 * Where two textures of one score differ: what was planned and what was read, a reading and its correction, or two
 * readings by different weights.
 *
 * @param first one texture
 * @param second the other
 * @param options their score
 * @returns shares that agree, and where they do not
 * @throws {InputError} when the textures are not of this score
 *
 * @example
 * ```ts
 * import { assignRole, demoScore, textureOf } from "ripieno";
 * import { textureDifferences } from "ripieno/texture";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * const written = textureOf(score);
 * const corrected = assignRole(written, { part: 0, fromBarIndex: 0, toBarIndex: 1, role: "counterline", figure: "second line" });
 * const [row] = textureDifferences(written, corrected, { score }).differences;
 * assertEquals([row?.bars, row?.first, row?.second], ["1–2", "lead: tune", "counterline: second line"]);
 * ```
 */
export function textureDifferences(
  first: Texture,
  second: Texture,
  options: TextureDifferencesOptions,
): TextureAgreement {
  const action = "compare the textures";
  checkOptions(action, options, { score: A_SCORE });
  const { score } = options;
  checkArgument(action, score, A_SCORE);
  checkArgument(action, first, A_TEXTURE, "the first");
  checkArgument(action, second, A_TEXTURE, "the second");
  const parts = score.parts.length;
  for (const texture of [first, second]) checkCells(action, score, texture);
  const counts = { cells: 0, role: 0, figure: 0 };
  const rows: Omit<TextureDifference, "bars">[] = [];
  for (let part = 0; part < parts; part++) {
    for (let bar = 0; bar < score.bars.length; bar++) {
      const [a, b] = [first.cells[bar * parts + part]!, second.cells[bar * parts + part]!];
      if (a.role === "rest" && b.role === "rest") continue;
      counts.cells++;
      if (a.role === b.role) {
        counts.role++;
        if (a.figure === b.figure) counts.figure++;
        continue;
      }
      const last = rows.at(-1);
      const row = {
        part,
        partName: score.parts[part]!.name,
        fromBarIndex: bar,
        toBarIndex: bar,
        first: inWords(a),
        second: inWords(b),
      };
      const goesOn = last !== undefined && last.part === part && last.toBarIndex === bar - 1 &&
        last.first === row.first && last.second === row.second;
      if (goesOn) rows[rows.length - 1] = { ...last, toBarIndex: bar };
      else rows.push(row);
    }
  }
  const number = (bar: number) => score.bars[bar]!.number;
  return {
    cells: counts.cells,
    sameRole: counts.cells === 0 ? 1 : counts.role / counts.cells,
    sameFigure: counts.cells === 0 ? 1 : counts.figure / counts.cells,
    differences: rows.map((row): TextureDifference => ({
      ...row,
      bars: row.fromBarIndex === row.toBarIndex
        ? number(row.fromBarIndex)
        : `${number(row.fromBarIndex)}–${number(row.toBarIndex)}`,
    })),
  };
}

/** Refuses a texture of another score. */
function checkCells(action: string, { bars, parts }: Score, { cells }: Texture): void {
  if (cells.length === bars.length * parts.length) return;
  throw new InputError({
    action,
    problem: `one has ${cells.length} cells, the score ${bars.length} bars by ${parts.length} parts`,
    remedy: "Give two textures of this score",
  });
}
