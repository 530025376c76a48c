/** What roles are called in a legend. */
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { roleInWords } from "../../texture/role_in_words.ts";
import type { Role } from "../../texture/roles.ts";
import type { ChartOptions } from "../drawing/chart_options.ts";

/** Options of charts that show roles. */
export interface RolesChartOptions extends ChartOptions {
  /** What the parts do: with it tremolos and rolls are called so, without it all are trills. */
  readonly texture?: Texture;
}

/** Names of roles by what the cells of a texture play; the vocabulary's own names without one. */
export function roleNames(texture: Texture | undefined, score: Score | undefined): (role: Role) => string {
  if (texture === undefined || score === undefined) return (role) => role;
  return (role) => roleInWords(role, texture.cells, score);
}
