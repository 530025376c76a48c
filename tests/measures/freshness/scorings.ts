/** Scores of letters for tests of freshness: one row per part, one letter per bar. */
import type { Role, RoleCell, Texture } from "ripieno";
import type { FigureName } from "../../../lib/texture/figures.ts";
import { roleDoes } from "../../../lib/texture/role_does.ts";
import { repeatedNotes, smallScore } from "../small_scores.ts";

/** A score of n bars for some parts, and a texture from one word per part and bar: `L` lead, `P` pulse, `p` the same in another figure, `h` held pad, `.` rest. */
export function scoringOf(rows: readonly string[]) {
  const bars = rows[0]!.length;
  const WORDS: Readonly<Record<string, readonly [Role, FigureName]>> = {
    L: ["lead", "tune"],
    P: ["pulse", "repeated sixteenths"],
    p: ["pulse", "repeated eighths"],
    h: ["pad", "held chord"],
    ".": ["rest", "none"],
  };
  const score = smallScore(
    rows.map((_, p) => ({
      instrument: ["flute", "oboe", "violin", "cello", "horn in F"][p]!,
      name: ["Flute", "Oboe", "Violins", "Cellos", "Horn"][p]!,
      role: "lead",
      notes: repeatedNotes(70, 1, { to: 4 * bars }),
    })),
    { bars },
  );
  const cells = Array.from({ length: bars }, (_, barIndex) =>
    rows.map((row, part): RoleCell => {
      const [role, figure] = WORDS[row[barIndex]!]!;
      return {
        barIndex,
        part,
        role,
        figure,
        does: roleDoes(role, figure),
        confidence: 1,
        leadShare: role === "lead" ? 1 : 0,
        reason: "test",
        layer: role === "rest" ? "" : role,
      };
    })).flat();
  const texture: Texture = { origin: "written", cells, layers: [] };
  return { score, texture };
}
