/** A passage with some of its layers alone, or taken away. */
import { silentCell } from "../../texture/silent_cell.ts";
import {
  A_NUMBER,
  A_SCORE,
  A_SWITCH,
  A_TEXT,
  A_TEXTURE,
  checkArgument,
  checkOptions,
  listOf,
} from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { nearestFirst } from "../../base/nearest_first.ts";
import { barIndexOf } from "../../score/time.ts";
import type { Note, Score } from "../../score/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { layersOf } from "../../texture/layers.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { isRole, type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { type BarsAsked, barsAsked, type BarsFound } from "./bars_asked.ts";
import { excerpt, type ScoreWithTexture } from "./excerpt.ts";
import { partsNamed } from "./place_wishes.ts";

/** Which layers of a passage are taken. What is left out does not choose; a note has to be of all that is given. */
export interface TakeOptions extends BarsAsked {
  /** Roles, such as lead and pad. */
  readonly roles?: readonly Role[];
  /** Parts by name; `Horns` means all numbered horns. */
  readonly parts?: readonly string[];
  /** Layers by id, as `textureOf(score).layers` has them. */
  readonly layers?: readonly string[];
  /** True to take them away and keep the others; by default they are kept alone. */
  readonly away?: boolean;
  /** Who does what, where it is known or was corrected by hand; by default it is read. */
  readonly texture?: Texture;
}

const ACTION = "take layers out of the score";

/**
 * A passage with some of its layers alone, or without them: for hearing what the background does when the melody is gone,
 * and for building a texture up bit by bit. Parts that have nothing left stay as empty lines, so that two versions can be laid
 * side by side.
 *
 * @param score the score; not changed
 * @param options roles, parts or layers, bars as printed, whether they are taken away
 * @returns the passage as a score of its own, with its texture
 * @throws {InputError} for bars, parts, layers or roles that there are none of, and where nothing is chosen
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { take } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const background = take(demoScore(), { fromBar: 1, toBar: 8, roles: ["lead"], away: true });
 * assertEquals(background.score.bars.length, 8);
 * assertEquals(background.texture.cells.some((cell) => cell.role === "lead"), false);
 * ```
 */
export function take(score: Score, options: TakeOptions): ScoreWithTexture {
  checkArgument(ACTION, score, A_SCORE);
  checkOptions(ACTION, options, {
    roles: listOf(A_TEXT, "a list of roles"),
    parts: listOf(A_TEXT, "a list of names"),
    layers: listOf(A_TEXT, "a list of ids"),
    away: A_SWITCH,
    texture: A_TEXTURE,
    fromBar: A_NUMBER,
    toBar: A_NUMBER,
  });
  const texture = givenTexture(ACTION, score, options.texture);
  const bars = barsAsked(score, options, { action: ACTION });
  const isChosen = choiceOf({ score, texture }, options, bars);
  return takeCells(excerpt({ score, texture }, bars), (cell) => isChosen(cell) !== (options.away === true));
}

/** What is chosen, by cell. */
function choiceOf(
  { score, texture }: ScoreWithTexture,
  { roles, parts, layers }: TakeOptions,
  bars: BarsFound,
): (cell: RoleCell) => boolean {
  const refuse = (problem: string, remedy: string) =>
    new InputError({ action: ACTION, problem, where: { file: score.source }, remedy });
  if (roles === undefined && parts === undefined && layers === undefined) {
    throw refuse("nothing is chosen", "Give roles, parts or layers");
  }
  const strange = roles?.find((role) => !isRole(role));
  if (strange !== undefined) {
    throw refuse(`"${strange}" is not a role`, `Use ${nearestFirst(strange, ROLE_NAMES).join(", ")}`);
  }
  const ids = [...new Set(texture.layers.map((l) => l.id))];
  const unknown = layers?.find((id) => !ids.includes(id));
  if (unknown !== undefined) {
    throw refuse(
      `there is no layer "${unknown}"`,
      `Its layers are ${nearestFirst(unknown, ids).slice(0, 8).join(", ")}`,
    );
  }
  const indexes = parts && new Set(partsNamed(score, parts, { action: ACTION, bars }));
  return (cell) =>
    (roles === undefined || roles.includes(cell.role)) && (indexes === undefined || indexes.has(cell.part)) &&
    (layers === undefined || layers.includes(cell.layer));
}

/** A score with the notes that begin in cells that are kept; the others rest. */
export function takeCells(
  { score, texture }: ScoreWithTexture,
  isKept: (cell: RoleCell) => boolean,
): ScoreWithTexture {
  const parts = score.parts.length;
  const cellOf = (n: Note) => texture.cells[barIndexOf(score, n.onsetTicks) * parts + n.part]!;
  const kept = new Map(texture.cells.map((cell) => [cell, isKept(cell)]));
  const cells = texture.cells.map((cell): RoleCell =>
    kept.get(cell) || cell.role === "rest" ? cell : silentCell(cell, "taken away")
  );
  return {
    score: { ...score, notes: score.notes.filter((n) => kept.get(cellOf(n))) },
    texture: { ...texture, cells, layers: layersOf(cells, parts) },
  };
}
