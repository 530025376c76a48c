/** Where parts change what they are for, in words over their staves. */
import type { ScoreWithTexture } from "../../orchestrate/rewrite/excerpt.ts";
import type { WrittenWords } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { RoleCell } from "../../texture/model.ts";
import { roleInWords } from "../../texture/role_in_words.ts";
import type { Role } from "../../texture/roles.ts";

/** Spaces before a word, which no line breaks at and no engraver drops: there stands the sign of the role. */
const ROOM = "\u00a0".repeat(7);

/** Words by part: the role where it begins and where it changes, at the first note of that bar. */
export function roleWords({ score, texture }: ScoreWithTexture): readonly (readonly WrittenWords[])[] {
  const count = score.parts.length;
  const firstIn = firstNotes(score);
  return score.parts.map((_, part) => {
    const own = texture.cells.filter((cell) => cell.part === part && cell.role !== "rest");
    return own.filter((cell, i) => cell.role !== own[i - 1]?.role).map((cell): WrittenWords => ({
      onsetTicks: firstIn.get(cell.barIndex * count + part) ?? score.bars[cell.barIndex]!.startTicks,
      staff: 1,
      words: `${ROOM}${wordOf(cell, { score, texture })}`,
    }));
  });
}

/** The role that words of {@linkcode roleWords} name; undefined where they are other words. */
export function roleOfWords(words: string, names: ReadonlyMap<string, Role>): Role | undefined {
  return words.startsWith(ROOM) ? names.get(words.slice(ROOM.length)) : undefined;
}

/** The roles of a texture by what they are called over the staves. */
export function namesOfRoles(given: ScoreWithTexture): ReadonlyMap<string, Role> {
  return new Map(given.texture.cells.map((cell) => [wordOf(cell, given), cell.role]));
}

function wordOf(cell: RoleCell, { score }: ScoreWithTexture): string {
  return roleInWords(cell.role, [cell], score);
}

/** Where the first note of each part begins in each bar, by bar and part. */
function firstNotes(score: ScoreWithTexture["score"]): ReadonlyMap<number, number> {
  const found = new Map<number, number>();
  for (const { part, onsetTicks } of score.notes) {
    const key = barIndexOf(score, onsetTicks) * score.parts.length + part;
    if (!found.has(key)) found.set(key, onsetTicks);
  }
  return found;
}
