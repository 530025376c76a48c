/** What a search for plans finds. */
import type { Share } from "../../base/units.ts";
import type { Plan } from "../plan/plan.ts";

/** What became of one wish in one plan. */
export interface ReachedWish {
  /** What it is about: the momentum of a passage, how much is heard of its lead, how full its chords are, how loud it is, who plays, or the whole. */
  readonly about: "momentum" | "lead heard" | "fullness" | "dynamic" | "players" | "the whole";
  /** The wish in words, such as `Rapids: momentum 5`. */
  readonly wish: string;
  /** Name of the passage; empty where the wish is for the whole. */
  readonly passage: string;
  /** What was wanted: driving attacks per second, a share, a count; null where parts are named. */
  readonly wanted: number | null;
  /** What was reached in the notes, in the same unit; null where parts are named or nothing leads. */
  readonly reached: number | null;
  /** Whether it is met; a wanted momentum within a tenth, a quarter of an attack per second added to both. */
  readonly met: boolean;
  /** How far it is missed, 0 where it is met in full: for momentum the logarithm of the ratio, for others in parts of what was wanted. */
  readonly short: number;
}

/** How a plan does as a whole. */
export interface PlanMeasures {
  /** Momentum, driving attacks per second. */
  readonly momentum: number;
  /** How much of its loudness the lead keeps; null where nobody leads. */
  readonly audibleShare: Share | null;
  /** Freshness. */
  readonly freshness: Share;
  /** How far loudness, register and density go as was wished, from -1 to 1; null where no contour was wished for, or all stays level. */
  readonly contour: number | null;
  /** Findings called tiring or risky. */
  readonly findings: number;
}

/** A plan that was found, written into the notes and measured whole. */
export interface FoundPlan {
  /** The plan, for `realise`. */
  readonly plan: Plan;
  /** How it does as a whole. */
  readonly measures: PlanMeasures;
  /** How far it misses what was asked, with what the craft asks; plans come in this order, the least first. */
  readonly shortfall: number;
  /** What became of each wish. */
  readonly reached: readonly ReachedWish[];
  /** Why this plan: a sentence for each passage. */
  readonly reasons: readonly string[];
  /** What was given up for something else, in sentences; empty where nothing was. */
  readonly traded: readonly string[];
  /** Share of the bars, from 0 to 1, in which it is scored otherwise than the nearest plan before it; 1 for the first. */
  readonly otherwise: Share;
}

/** The answer to a search. */
export interface PlansFound {
  /** Plans, the best first. */
  readonly plans: readonly FoundPlan[];
  /** Where no plan can meet what must be met: the fewest wishes that cannot be had together, in words. */
  readonly conflict: readonly string[];
  /** Scorings of single passages that were written and measured, whole plans, and changes to the best of them that were written and measured. */
  readonly tried: { readonly scorings: number; readonly plans: number; readonly changes: number };
  /** What came of it, in a sentence. */
  readonly said: string;
}

/** How far a search is. */
export interface SearchProgress {
  /** What is being done. */
  readonly step: "scorings" | "plans" | "changes";
  /** How many are done. */
  readonly done: number;
  /** Of how many, as far as is known. */
  readonly total: number;
}
