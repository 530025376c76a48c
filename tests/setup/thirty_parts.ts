/** Thirty parts that all play: eight bars of the demo, its parts there as often as it takes. */
import { demoScore, type Score } from "ripieno";
import { sortNotes } from "../../lib/score/build.ts";
import { someBars } from "./some_bars.ts";

const PARTS = 30;

/** Eight bars for thirty parts; those after the last of the demo's have its notes again, under names of their own. */
export function thirtyParts(): Score {
  const { layers: _told, ...score } = someBars(demoScore(), { from: 0, to: 7 });
  const own = score.parts.length;
  const again = (part: number) => Array.from({ length: PARTS }, (_, p) => p).filter((p) => p % own === part);
  return {
    ...score,
    parts: Array.from({ length: PARTS }, (_, p) => {
      const part = score.parts[p % own]!;
      return p < own
        ? part
        : { ...part, id: `${part.id}-${p}`, name: `${part.name}, desk ${1 + Math.floor(p / own)}` };
    }),
    notes: sortNotes(score.notes.flatMap((n) => again(n.part).map((part) => ({ ...n, part })))),
  };
}
