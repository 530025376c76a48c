/** What a role does, broadly. */
import type { Broad } from "./broad_kinds.ts";
import { broadOf } from "./figure_shapes.ts";
import { figureById, type FigureName } from "./figures.ts";
import { type Role, ROLES } from "./roles.ts";

const BY_ROLE: ReadonlyMap<Role, Broad | "silent"> = new Map(ROLES.map(({ role, does }) => [role, does]));

/** Figures of a bass that strikes and is silent till others have answered; what plays them stands apart, whatever it is for. */
export const BEATS_OF_BASS: readonly FigureName[] = ["bass on the downbeat", "bass on one and three"];

/** What a role does, broadly; a bass goes by its figure, and moves in those that have no row in the table. */
export function roleDoes(role: Role, figure: FigureName): Broad | "silent" {
  if (role !== "bass" && !BEATS_OF_BASS.includes(figure)) return BY_ROLE.get(role)!;
  const written = figureById(figure);
  return written ? broadOf(written.shape) : "moving";
}
