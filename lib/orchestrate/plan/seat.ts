/** Who sits in an orchestra. */
import type { Instrument } from "../../instruments/catalogue.ts";
import type { OrchestraPart } from "../../instruments/orchestra.ts";

/** A line of the orchestra with its instrument. */
export interface Seat {
  /** The line, with the players the plan wants. */
  readonly part: OrchestraPart;
  readonly instrument: Instrument;
}
