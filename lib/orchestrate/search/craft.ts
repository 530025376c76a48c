/** What a scoring of a passage costs: wishes missed, and what the craft asks beside them. */
import { levelOf, type SearchGround } from "./search_ground.ts";
import type { Scoring } from "./wish_terms.ts";

/** What the craft asks beside the wishes. Weights are model assumptions; a wish missed by a tenth weighs 0.1. */
export const CRAFT = {
  /** A lead that keeps less of its loudness than this is covered. */
  leadKeeps: 0.4,
  /** One finding called tiring or risky. */
  finding: 0.03,
  /** A lead that leads on in the next passage. */
  sameLead: 0.12,
  /** All parts doing in the next passage what they did before. */
  sameScoring: 0.12,
  /** What is not fresh, as a share of freshness missed. */
  stale: 0.3,
  /** A contour that goes against the one wished for, against one that follows it. */
  shape: 0.6,
  /** A chord beside the lead of which nothing is there, against one that is full. */
  thin: 0.3,
  /** Instruments used as hardly ever, against as most often. */
  unusual: 0.3,
  /** A passage in which all too few play, or too many, for how loud it is: none of those wanted, or as many again. */
  numbers: 0.2,
  /** A liked part that plays throughout. */
  liked: 0.05,
} as const;

/** How far a scoring misses what its passage is asked, and what the craft asks. */
export function costOf(ground: SearchGround, passage: number, scoring: Scoring): number {
  const { passageTerms, barShares, wishes, seats } = ground;
  const short = passageTerms.filter((t) => t.passage === passage).reduce(
    (sum, t) => sum + t.shortOf(scoring),
    0,
  );
  const few = Math.abs(playingShare(ground, scoring) - wantedShare(levelOf(passage, wishes)));
  const { audibleShare, findings } = scoring.measured;
  const covered = audibleShare === null ? 0 : Math.max(0, CRAFT.leadKeeps - audibleShare) / CRAFT.leadKeeps;
  const liked = new Set(wishes.favour ?? []);
  const favoured = [...scoring.doing.keys()].filter((s) => liked.has(seats[s]!.part.name)).length;
  const thin = CRAFT.thin * (1 - scoring.measured.fullness);
  const unusual = CRAFT.unusual * (1 - scoring.measured.idiom);
  return (short + covered + thin + unusual + CRAFT.numbers * few) * barShares[passage]! +
    CRAFT.finding * findings -
    CRAFT.liked * favoured * barShares[passage]!;
}

/** Share of the sustaining parts of the orchestra that play. */
function playingShare({ seats }: SearchGround, { doing }: Scoring): number {
  const able = seats.flatMap(({ instrument }, i) => instrument.sustains && !instrument.unpitched ? [i] : []);
  return able.length === 0 ? 0 : able.filter((i) => doing.has(i)).length / able.length;
}

/** Share of them that plays at a level: a third at p, half at mf, four fifths at ff. Common practice, no source. */
function wantedShare(level: number): number {
  return Math.min(0.9, Math.max(0.2, 0.33 + (level - 3) * 0.12));
}

/** Share of the parts of two scorings that do the same in both. */
export function likeness(a: Scoring, b: Scoring): number {
  const all = new Set([...a.doing.keys(), ...b.doing.keys()]);
  const same = [...a.doing].filter(([seat, doing]) => b.doing.get(seat) === doing).length;
  return all.size === 0 ? 1 : same / all.size;
}

/** What it costs to go from one scoring to another: the same lead, the same jobs. */
export function turnCost(a: Scoring, b: Scoring): number {
  const same = a.leads.filter((seat) => b.leads.includes(seat)).length;
  return CRAFT.sameLead * same / Math.max(1, a.leads.length, b.leads.length) +
    CRAFT.sameScoring * likeness(a, b);
}
