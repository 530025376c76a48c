/** Who does what and who plays which figure, in shares of all that sounds. */
import { barsOf, type BarsRead, cellsOf } from "./bars_read.ts";
import { counted, sharedOut } from "./counted_rows.ts";
import type { FigureByInstrument, Recipe, RoleByFamily } from "./recipe_results.ts";

/** Role by family and figure by instrument, of every part's bars that sound. */
export function textureShares(read: BarsRead): Pick<Recipe, "roles" | "figures"> {
  const roles = new Map<string, Omit<RoleByFamily, "share"> & { count: number }>();
  const figures = new Map<string, Omit<FigureByInstrument, "share"> & { count: number }>();
  let all = 0;
  for (const b of barsOf(read)) {
    for (const { part, role, figure } of cellsOf(read, b)) {
      if (role === "rest") continue;
      const { id: instrument, family } = read.instruments[part]!;
      all++;
      counted(roles, `${family}|${role}`, { family, role });
      counted(figures, `${instrument}|${figure}`, { instrument, family, figure });
    }
  }
  return { roles: sharedOut(roles, all), figures: sharedOut(figures, all) };
}
