/** What is asked of plans that are looked for. */
import type { Share } from "../../base/units.ts";
import type { ContourWish } from "../../measures/contour/contour_shapes.ts";
import type { Passage } from "../plan/plan.ts";

/** What is asked of one passage. What is left out is left open. */
export interface PassageAsked extends Pick<Passage, "name" | "fromBar" | "toBar"> {
  /** Momentum wanted, in driving attacks per second; plans come as near as they can. */
  readonly momentum?: number;
  /** How much of its loudness the lead keeps at the least. */
  readonly leadAtLeast?: Share;
  /** How full the chord beside the lead is at the least, from 0 to 1, as `fullness` measures it. */
  readonly fullnessAtLeast?: Share;
  /** How loud the lead is, as `f`; by default as it stands in the contour, or from p to f as it is to move. */
  readonly dynamic?: string;
  /** Parts that lead, and nobody else. */
  readonly lead?: readonly string[];
  /** Parts that play. */
  readonly play?: readonly string[];
  /** Parts that rest. */
  readonly rest?: readonly string[];
}

/** What is asked of plans: passage by passage, and of the whole. */
export interface PlanWishes {
  /** The passages, in order. */
  readonly passages: readonly PassageAsked[];
  /** Freshness of the whole at the least. */
  readonly freshnessAtLeast?: Share;
  /** The shape that loudness, register and density are to have: by name, or heights spread evenly over the passages. */
  readonly contour?: ContourWish;
  /** How far they follow it at the least, from -1 to 1, as `contour` measures it. */
  readonly contourAtLeast?: number;
  /** Findings of playability called tiring or risky, at the most. Impossible ones are never let in. */
  readonly findingsAtMost?: number;
  /** Share of the bars in which any one brass part plays, at the most: the rest is for the lips. */
  readonly brassAtMost?: Share;
  /** Parts that play somewhere. */
  readonly play?: readonly string[];
  /** Parts that play nowhere. */
  readonly rest?: readonly string[];
  /** Parts that are liked: between plans that are equally good, those with more of them come first. */
  readonly favour?: readonly string[];
}
