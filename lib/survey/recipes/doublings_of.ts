/** Who plays on one line with whom. */
import { relationsOf } from "../../texture/recognise/relations.ts";
import type { BarsRead } from "./bars_read.ts";
import { counted, sharedOut } from "./counted_rows.ts";
import type { RecipeDoubling } from "./recipe_results.ts";

/** Instruments in unison or octaves, with the share of the bars in which they are; players of one instrument are no doubling. */
export function doublingsOf(read: BarsRead): readonly RecipeDoubling[] {
  const { score, from, to } = read;
  const instruments = read.instruments.map(({ id }) => id);
  const seen = new Set<string>();
  const rows = new Map<string, Omit<RecipeDoubling, "share"> & { count: number }>();
  for (const { barIndex, parts: [a, b], relation } of relationsOf(score)) {
    if (relation !== "unison" || barIndex < from || barIndex > to) continue;
    const [one, other] = [instruments[a]!, instruments[b]!];
    if (one === other) continue;
    const key = `${one}|${other}`;
    if (seen.has(`${barIndex}|${key}`)) continue; // two flutes with two oboes are one doubling
    seen.add(`${barIndex}|${key}`);
    counted(rows, key, { instrument: one, with: other });
  }
  return sharedOut(rows, to - from + 1);
}
