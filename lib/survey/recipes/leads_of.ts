/** How long somebody leads. */
import { runsOf } from "../../measures/runs.ts";
import { barsOf, type BarsRead, cellsOf } from "./bars_read.ts";
import type { RecipeLeads } from "./recipe_results.ts";

/** The chief line of each bar, and how long each stays. */
export function leadsOf(read: BarsRead): RecipeLeads {
  const chiefs = [...barsOf(read)].map((b) => chiefOf(read, b));
  const runs = runsOf(chiefs, (before, chief) => before === chief).filter(([chief]) => chief !== NOBODY);
  const lengths = runs.map((run) => run.length).sort((x, y) => x - y);
  const changes = chiefs.filter((chief, i) => i > 0 && chief !== chiefs[i - 1]).length;
  const middle = lengths.length / 2;
  return {
    changesPer100Bars: 100 * changes / chiefs.length,
    medianBars: lengths.length === 0
      ? null
      : (lengths[Math.floor(middle)]! + lengths[Math.ceil(middle) - 1]!) / 2,
    longestBars: lengths.at(-1) ?? 0,
  };
}

const NOBODY = "";

/** Who leads a bar, as one word: in a plan all that lead together, else the surest. */
export function chiefOf(read: BarsRead, bar: number): string {
  const leads = cellsOf(read, bar).filter((c) => c.role === "lead");
  if (leads.length === 0) return NOBODY;
  if (read.texture.origin === "written") return leads.map((c) => c.part).join(" ");
  return String(leads.reduce((a, b) => b.confidence > a.confidence ? b : a).part);
}
