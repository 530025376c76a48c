/** What rows of results share: where they stand in the score. */
import type { Seconds } from "../base/units.ts";

/** A row of one bar. */
export interface BarRow {
  /** Bar index from 0. */
  readonly barIndex: number;
  /** Printed bar. */
  readonly bar: string;
}

/** A row of one bar, with its time. */
export interface TimedBarRow extends BarRow {
  /** Start in seconds. */
  readonly onsetSeconds: Seconds;
}

/** A row of some bars. */
export interface SpanRow {
  /** First bar index. */
  readonly fromBarIndex: number;
  /** Last bar index, inclusive. */
  readonly toBarIndex: number;
}

/** A row of some bars, with the printed place where they begin. */
export interface PlaceRow extends SpanRow {
  /** Printed bar of the first place. */
  readonly bar: string;
  /** Beat of the first place, from 1. */
  readonly beat: number;
}
