/** Who leads in some bars, each bar counted once. */
import type { Score } from "../score/model.ts";
import type { RoleCell, Texture } from "../texture/model.ts";
import { withoutUpbeats } from "../texture/without_upbeats.ts";
import { isTutti } from "./layer_words.ts";

const TUTTI_NAME = "tutti";

/** Parts that lead together, and in how many bars. */
export interface Lead {
  readonly names: readonly string[];
  readonly bars: number;
}

/**
 * Who leads in some bars, in the order in which they come in; a bar counts once, so the sum is that of the bars that
 * have a lead. In a texture read off the notes a bar counts for one part: for its chief line, the lead that is surest,
 * and not for those that double it. Where half of the parts lead, it counts for the tutti. A plan's own lead counts for
 * all its parts together, and an upbeat with the bar it leads into.
 */
export function leadsInBars(
  score: Pick<Score, "parts">,
  texture: Pick<Texture, "cells" | "origin"> & Partial<Pick<Texture, "layers">>,
  { fromBarIndex, toBarIndex }: { readonly fromBarIndex: number; readonly toBarIndex: number },
): readonly Lead[] {
  const { parts } = score;
  const { origin, layers = [] } = texture;
  const asked = texture.cells.slice(fromBarIndex * parts.length, (toBarIndex + 1) * parts.length);
  const cells = withoutUpbeats({ origin, layers, cells: asked });
  const found = new Map<string, { names: readonly string[]; bars: number }>();
  for (let b = 0; b <= toBarIndex - fromBarIndex; b++) {
    const leads = cells.slice(b * parts.length, (b + 1) * parts.length).filter((c) => c.role === "lead");
    if (leads.length === 0) continue;
    const chief = origin === "written" ? leads : surest(leads);
    const names = isTutti(leads.length, score) ? [TUTTI_NAME] : chief.map((c) => parts[c.part]!.name);
    const lead = found.get(names.join("\n")) ?? { names, bars: 0 };
    found.set(names.join("\n"), { ...lead, bars: lead.bars + 1 });
  }
  return [...found.values()];
}

function surest(leads: readonly RoleCell[]): readonly RoleCell[] {
  return [leads.reduce((a, b) => b.confidence > a.confidence ? b : a)];
}
