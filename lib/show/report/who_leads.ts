/** Who leads a passage, in a few words. */
import type { Score } from "../../score/model.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { numbersTogether } from "../drawing/words.ts";

/** From this share of a score's parts in the lead on, and from so many parts, one says tutti. Common practice, no source. */
const TUTTI = { share: 0.5, parts: 6 } as const;
const TUTTI_NAME = "tutti";
/** Leads named in a row, and parts of one of them. */
const MOST_LEADS = 3;
const MOST_PARTS = 3;

/** Parts that lead in the very same bars of a passage. */
interface Lead {
  readonly names: readonly string[];
  readonly bars: number;
}

/**
 * Who leads a passage, in the order in which they come in, each with the bars it leads in where that is not all. In a
 * texture read off the notes a bar counts for one part: for its chief line, the lead that is surest, and not for those
 * that double it. Where half of the parts lead, it counts for the tutti. A plan's own lead counts with all its parts.
 *
 * @returns for example `Horn 1 (4 of 9 bars), Flute 1 (4), Violoncello (1)`, or `nobody`
 */
export function whoLeads(
  { parts }: Pick<Score, "parts">,
  { cells, origin }: Texture,
  { fromBarIndex, toBarIndex }: { readonly fromBarIndex: number; readonly toBarIndex: number },
): string {
  const barsOf = new Map<string, number[]>();
  for (let b = fromBarIndex; b <= toBarIndex; b++) {
    const leads = cells.slice(b * parts.length, (b + 1) * parts.length).filter((c) => c.role === "lead");
    const isTutti = leads.length >= TUTTI.parts && leads.length >= TUTTI.share * parts.length;
    const chief = origin === "written" ? leads : surest(leads);
    for (const name of isTutti ? [TUTTI_NAME] : chief.map((c) => parts[c.part]!.name)) {
      barsOf.set(name, [...barsOf.get(name) ?? [], b]);
    }
  }
  if (barsOf.size === 0) return "nobody";
  const together = Map.groupBy(barsOf.keys(), (name) => barsOf.get(name)!.join(" "));
  const inOrder = [...together.values()].map((names): Lead => ({
    names,
    bars: barsOf.get(names[0]!)!.length,
  }));
  const named = inOrder.toSorted((a, b) => b.bars - a.bars).slice(0, MOST_LEADS);
  const shown = inOrder.filter((lead) => named.includes(lead));
  const all = toBarIndex + 1 - fromBarIndex;
  const words = shown.map(({ names, bars }, i) =>
    shown.length === 1 && bars === all
      ? namesOf(names)
      : `${namesOf(names)} (${i === 0 ? `${bars} of ${all} bars` : bars})`
  );
  const more = inOrder.length - shown.length;
  return words.join(", ") + (more > 0 ? `, ${more} more` : "");
}

function surest(leads: readonly RoleCell[]): readonly RoleCell[] {
  return leads.length === 0 ? [] : [leads.reduce((a, b) => b.confidence > a.confidence ? b : a)];
}

function namesOf(names: readonly string[]): string {
  const few = names.length > MOST_PARTS ? names.slice(0, MOST_PARTS - 1) : names;
  const more = names.length - few.length;
  return numbersTogether(few.join(" + ")) + (more > 0 ? ` + ${more} more` : "");
}
