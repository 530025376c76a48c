/** What a score's passages are. */

import type { PrintedSign } from "../printed_turns.ts";

/** What a passage begins with: words that a musician would use. */
export type PassageStart =
  | "beginning"
  | "plan"
  | "rehearsal mark"
  | PrintedSign
  | "new scoring"
  | "length";

/** A passage of a score: a span of bars that a musician would rehearse as one. */
export interface ScorePassage {
  /** Its name in the plan, or its rehearsal mark; empty where the score has none. */
  readonly name: string;
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
  /**
   * Why it begins here; printed signs before `new scoring` (the novelty of self-similarity peaks here). `length`
   * where nothing turns and the passage before would only grow too long. Never empty.
   */
  readonly begins: readonly PassageStart[];
}
