/** How a survey works. */
import type { SurveyProgress } from "./survey_results.ts";

/** One of several shares of a survey, each done by a process of its own, perhaps on another machine. */
export interface SurveyShard {
  /** Which one, from 1. */
  readonly number: number;
  /** Of how many. */
  readonly of: number;
}

/** Options of {@linkcode survey}. */
export interface SurveyOptions {
  /** Folder that the survey is kept in. */
  readonly out: string;
  /** How many scores are worked on at a time; as many as the machine has processors unless given. */
  readonly workers?: number;
  /**
   * Seconds of the processor's time that one score may take before it is given up; 300 unless given. Where a worker waits, a
   * twentieth of the clock's time counts.
   */
  readonly secondsPerScore?: number;
  /** Megabytes of memory that the whole program may take before scores are given up; 3500 unless given. */
  readonly megabytes?: number;
  /** Only one of several shares: its rows are kept, and a survey without a shard puts all together. */
  readonly shard?: SurveyShard;
  /** Told how far it is, each time a score is done. */
  readonly onProgress?: (progress: SurveyProgress) => void;
  /** Stops the survey; what is done is kept, and the next one goes on from there. */
  readonly signal?: AbortSignal;
}
