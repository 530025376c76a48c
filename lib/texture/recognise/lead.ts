/** Which parts the ear follows in a bar, and which lie lowest. */
import type { CellFeatures } from "../features/features.ts";
import type { Judgement } from "../judge/judge.ts";
import { RULES } from "../rules.ts";

/** What surrounds the choice of the lead. */
interface LeadContext {
  /** Parts that led in the bar before. */
  readonly ledBefore: ReadonlySet<number>;
}

/**
 * The leading parts of a bar: the part with the greatest share of the lead, those that double it, and whatever else is
 * melody beyond doubt.
 *
 * @param judgement what the models say of the score
 * @param bar features of the bar's parts
 * @param context parts that led in the bar before
 * @returns the leading parts with how sure it is, 0 to 1: of the chief line its share of the lead with what doubles it,
 *   which is how often people name one of these parts; empty where nothing stands out
 */
export function leadsOf(
  judgement: Judgement,
  bar: readonly CellFeatures[],
  { ledBefore }: LeadContext,
): ReadonlyMap<number, number> {
  const { lead, evidence: { plain, scene: { companions } } } = judgement;
  const parts = bar.length;
  const at = (bar[0]?.barIndex ?? 0) * parts;
  const chief = lead.course[bar[0]?.barIndex ?? 0] ?? -1;
  const leads = new Map<number, number>();
  const consider = (p: number, from: number) => {
    const i = at + p;
    const needed = from + (plain[i] ? RULES.plainFrom : 0);
    if (bar[p]!.sounds && !bar[p]!.line.some((n) => n.unpitched) && melodyOdds(judgement, i) >= needed) {
      leads.set(p, Math.max(Math.exp(judgement.broad[i]![0]!), lineShare(judgement, i)));
    }
  };
  if (chief >= 0) {
    const hasHalf = Math.exp(lead.shares[at + chief]!) >= RULES.chiefFromShare;
    consider(chief, hasHalf ? -Infinity : RULES.chiefFrom);
  }
  const doublings = chief < 0 ? [] : companions.unison[at + chief]!.map((i) => i - at);
  const likeChief = chief < 0 ? 0 : melodyOdds(judgement, at + chief) - RULES.doublingBelowChief;
  /** Whether a part goes on doubling the chief line in the next bar. */
  const goesOn = (p: number) =>
    lead.course[at / parts + 1] === chief &&
    (companions.unison[at + parts + p]?.includes(at + parts + chief) ?? false);
  const doublingFrom = (p: number) => ledBefore.has(p) || goesOn(p) ? Math.min(0, likeChief) : 0;
  bar.forEach((_, p) => {
    if (p === chief) return;
    if (doublings.includes(p)) consider(p, leads.has(chief) ? doublingFrom(p) : 0);
    else if (!plain[at + p]) consider(p, RULES.otherLeadFrom);
  });
  // The chief line is the surest: of the others, melodies too, less is known than that.
  if (!leads.has(chief)) return leads;
  const surest = Math.max(0.02, Math.min(0.98, lineShare(judgement, at + chief)));
  return new Map([...leads].map(([p, sure]) => [p, p === chief ? surest : Math.min(surest - 0.01, sure)]));
}

/** Whether what leads is a tune: from low odds of being melody on, long notes and all; from higher ones where a figure fills the bar. */
export function isTune(judgement: Judgement, cell: number): boolean {
  const plain = judgement.evidence.plain[cell];
  const needed = plain ? RULES.plainFrom : RULES.tuneFrom;
  return plain === "counterline" || melodyOdds(judgement, cell) >= needed;
}

/** Whether at least half of the lead falls to a part and those that double it, others sound beside it, and it is a tune. */
export function leadsInATune(judgement: Judgement, cell: number): boolean {
  const { parts, sounds } = judgement.evidence.scene;
  const at = cell - cell % parts;
  const isAlone = sounds.slice(at, at + parts).filter((is) => is).length < 2;
  return sounds[cell]! && !isAlone && lineShare(judgement, cell) >= RULES.chiefFromShare &&
    isTune(judgement, cell);
}

/** Share of the lead that falls to a part and those that double it. */
function lineShare({ lead, evidence: { scene: { companions } } }: Judgement, cell: number): number {
  return companions.unison[cell]!.reduce(
    (sum, i) => sum + Math.exp(lead.shares[i]!),
    Math.exp(lead.shares[cell]!),
  );
}

/** Odds that a cell is melody against the likeliest else, as a natural logarithm. */
function melodyOdds({ broad }: Judgement, cell: number): number {
  const odds = broad[cell]!;
  let others = -Infinity;
  for (let k = 1; k < odds.length; k++) others = Math.max(others, odds[k]!);
  return odds[0]! - others;
}
