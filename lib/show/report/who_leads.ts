/** Who leads a passage, in a few words. */
import type { Score } from "../../score/model.ts";
import { leadsInBars } from "../../measures/leads_in_bars.ts";
import type { Texture } from "../../texture/model.ts";
import { numbersTogether } from "../drawing/words.ts";

/** Leads named in a row, and parts of one of them. */
const MOST_LEADS = 3;
const MOST_PARTS = 3;

/**
 * Who leads a passage, in the order in which they come in ({@linkcode leadsInBars}), each with the bars it leads in where
 * that is not all.
 *
 * @returns for example `Horn 1 (4 of 9 bars), Flute 1 (4), Violoncello (1)`, or `nobody`
 */
export function whoLeads(
  score: Pick<Score, "parts">,
  texture: Texture,
  span: { readonly fromBarIndex: number; readonly toBarIndex: number },
): string {
  const inOrder = leadsInBars(score, texture, span);
  if (inOrder.length === 0) return "nobody";
  const named = inOrder.toSorted((a, b) => b.bars - a.bars).slice(0, MOST_LEADS);
  const shown = inOrder.filter((lead) => named.includes(lead));
  const all = span.toBarIndex + 1 - span.fromBarIndex;
  const words = shown.map(({ names, bars }, i) =>
    shown.length === 1 && bars === all
      ? leadName(names)
      : `${leadName(names)} (${i === 0 ? `${bars} of ${all} bars` : bars})`
  );
  const more = inOrder.length - shown.length;
  return words.join(", ") + (more > 0 ? `, ${more} more` : "");
}

/** Names of a lead, cut after three. */
export function leadName(names: readonly string[]): string {
  const few = names.length > MOST_PARTS ? names.slice(0, MOST_PARTS - 1) : names;
  const more = names.length - few.length;
  return numbersTogether(few.join(" + ")) + (more > 0 ? ` + ${more} more` : "");
}
