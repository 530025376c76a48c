/** What a wish for a passage is answered with. */
import type { Share, Sones } from "../../base/units.ts";
import { CONTOUR_SHAPES, type ContourShapeName } from "../../measures/contour/contour_shapes.ts";
import type { Wish } from "../rewrite/wish.ts";

/** What is wished of a passage, in the words of the trade; `rise`, `fall`, `arch` and `bowl` are contours, as plans may be asked for too. */
export type PassageWish =
  | "move more"
  | "lead clearer"
  | "fresher"
  | "lighter"
  | "rest the brass"
  | "playable"
  | ContourShapeName;

/** All wishes. */
export const PASSAGE_WISHES: readonly PassageWish[] = [
  "move more",
  "lead clearer",
  "fresher",
  "lighter",
  "rest the brass",
  "playable",
  ...Object.keys(CONTOUR_SHAPES) as ContourShapeName[],
];

/** The contour that a wish is for; undefined for other wishes. */
export function shapeWished(wish: PassageWish): ContourShapeName | undefined {
  return Object.hasOwn(CONTOUR_SHAPES, wish) ? wish as ContourShapeName : undefined;
}

/** Measures of a passage. */
export interface PassageMeasures {
  /** Momentum, driving attacks per second, mean over the bars by their seconds. */
  readonly momentum: number;
  /** Audible share of the lead, mean over the bars that have one; null where nobody leads. */
  readonly audibleShare: Share | null;
  /** Loudness of all together, sones, mean over the bars by their seconds. */
  readonly loudnessSones: Sones;
  /** Freshness, mean over the bars, with what goes before in mind. */
  readonly freshness: Share;
  /** How far loudness, register and density go as is wished, from -1 to 1; null where no contour is wished for, or all stays level. */
  readonly contour: number | null;
  /** Parts that sound. */
  readonly parts: number;
  /** Notes of the brass that begin. */
  readonly brassNotes: number;
  /** Findings of playability that touch the bars: impossible and risky ones. */
  readonly hardPlaces: number;
  /** Findings that are tiring. */
  readonly tiringPlaces: number;
}

/** One way to meet a wish, written into the notes and measured anew. */
export interface Suggestion {
  /** What is done, in words. */
  readonly what: string;
  /** The same as wishes, for `rewrite`. */
  readonly wishes: readonly Wish[];
  /** Why it helps, in a sentence. */
  readonly why: string;
  /** What it gives, in words with figures. */
  readonly gains: string;
  /** What it costs, in words with figures; empty where it costs nothing that is measured. */
  readonly costs: string;
  /** What it newly asks of the players; empty where the rules find nothing new. Limits are guides: the players and their teachers decide. */
  readonly caution: string;
  /** The passage with it. */
  readonly after: PassageMeasures;
}

/** A way that was tried and cannot be had. */
export interface RefusedWay {
  /** What would be done. */
  readonly what: string;
  /** Why it cannot be, with the rule. */
  readonly why: string;
}

/** The answer to a wish. */
export interface Suggestions {
  /** What was wished. */
  readonly wish: PassageWish;
  /** The passage as it is. */
  readonly before: PassageMeasures;
  /** Ways that meet the wish within the bounds, the best first. */
  readonly ways: readonly Suggestion[];
  /** Ways that nobody could play or that have no ground. */
  readonly refused: readonly RefusedWay[];
  /** How many ways were tried in the notes. */
  readonly tried: number;
  /** What came of it, in a sentence: where no way is left, which bound stood against it and what came nearest. */
  readonly said: string;
}
