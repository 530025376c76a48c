/** What is known of a score before the weights come in. */
import type { Score } from "../score/model.ts";
import { type CellFeatures, isPitched } from "./features.ts";
import { groupSignsOf } from "./group_signs.ts";
import { plainRole } from "./plain_role.ts";
import type { Role } from "./roles.ts";
import { signsOf } from "./signs.ts";
import type { Scene } from "./surroundings.ts";

/** What a model is asked with, one row per cell. */
export type Rows = readonly Float64Array[];

/** What is known of a score before the weights come in. */
export interface Evidence {
  /** Who sounds and who goes with whom. */
  readonly scene: Scene;
  /** Signs per cell, in the order of `SIGNS`. */
  readonly signs: Rows;
  /** Signs per cell of how it stands among its doublings, in the order of `GROUP_SIGNS`. */
  readonly groups: Rows;
  /** Cells in which notes of definite pitch begin or are held. */
  readonly pitched: readonly boolean[];
  /** Roles of cells so plain that nothing need be weighed. */
  readonly plain: readonly (Role | undefined)[];
}

/**
 * What the notes show.
 *
 * @param score the score
 * @param features features of the same score
 * @returns signs and companions
 */
export function evidenceOf(score: Score, features: readonly CellFeatures[]): Evidence {
  const { rows, companions } = signsOf(score, features);
  const parts = score.parts.length;
  const pitched: boolean[] = [];
  features.forEach((f, i) =>
    pitched.push(f.line.length > 0 ? isPitched(f) : f.sounds && (pitched[i - parts] ?? false))
  );
  return {
    scene: { parts, sounds: features.map((f) => f.sounds), companions },
    signs: rows,
    groups: groupSignsOf(score, features, companions),
    pitched,
    plain: features.map((f) => plainRole(f, score.ticksPerQuarter)),
  };
}
