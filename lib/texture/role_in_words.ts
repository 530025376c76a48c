/** Roles in words, as they are said on pages and in charts. */
import { listed } from "../base/words.ts";
import { instrumentOf } from "../instruments/instrument_of.ts";
import type { Score } from "../score/model.ts";
import type { RoleCell } from "./model.ts";
import type { Role } from "./roles.ts";

/**
 * A role as a musician would say it: what the vocabulary calls trill by what its cells play, be it a trill, a tremolo or
 * a roll on something struck. For example `tremolo and roll`.
 */
export function roleInWords(
  role: Role,
  cells: readonly Pick<RoleCell, "role" | "figure" | "part">[],
  { parts }: Pick<Score, "parts">,
): string {
  if (role !== "trill") return role;
  const words = new Set(
    cells.filter((c) => c.role === role).map(({ figure, part }) =>
      instrumentOf(parts[part]!.instrument)?.family === "percussion"
        ? "roll"
        : figure.includes("tremolo")
        ? "tremolo"
        : "trill"
    ),
  );
  return listed([...words].sort().reverse()) || role;
}
