/** What players change to, and how long it takes. From `data/second_instruments.csv` and `data/change_times.csv`. */
import { once } from "../base/memo.ts";
import { AN_INSTRUMENT, checkArgument } from "../base/arguments.ts";
import changesText from "../../data/change_times.csv" with { type: "text" };
import secondInstrumentsText from "../../data/second_instruments.csv" with { type: "text" };
import type { Seconds } from "../base/units.ts";
import type { Instrument } from "./catalogue.ts";
import { aNumber, anyText, oneOf, readTable, someText, type Sourced, sourced } from "./data_table.ts";
import { type FigureSource, figureTable } from "./figure_table.ts";

/** An instrument a player takes besides his own. */
export interface SecondInstrument extends Sourced {
  /** Catalogue id of the other instrument. */
  readonly instrument: string;
  /** `usual`: any professional; `possible`: ask first. */
  readonly custom: "usual" | "possible";
  /** Rest needed to change over. */
  readonly changeSeconds: Seconds;
}

/** A change within a part, and the rest it needs. */
export interface ChangeTime extends FigureSource {
  /** What is changed, for example `mute in`. */
  readonly change: string;
  /** Shortest rest in which it can be done. */
  readonly leastSeconds: Seconds;
  /** Rest in which it is done calmly. */
  readonly comfortableSeconds: Seconds;
  /** A remark, or empty. */
  readonly note: string;
}

const seconds = once(() =>
  readTable(secondInstrumentsText, {
    file: "data/second_instruments.csv",
    columns: {
      instrument: someText,
      alsoPlays: someText,
      custom: oneOf(["usual", "possible"]),
      changeSeconds: aNumber,
      ...sourced,
    },
  })
);

const changes = figureTable("data/change_times.csv", changesText, {
  change: someText,
  leastSeconds: aNumber,
  comfortableSeconds: aNumber,
  note: anyText,
}).eachOf("change");

/**
 * Instruments that a player of one instrument takes besides, with the rest the change needs.
 *
 * @param instrument the player's own instrument
 * @returns the others; empty where none is customary
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { secondInstrumentsOf } from "ripieno/instruments";
 * import { assert } from "@std/assert";
 * assert(secondInstrumentsOf(instrumentById("oboe")).some((d) => d.instrument === "cor anglais"));
 * ```
 */
export function secondInstrumentsOf(instrument: Instrument): readonly SecondInstrument[] {
  checkArgument("look up an instrument", instrument, AN_INSTRUMENT);
  return seconds().filter((row) => row.instrument === instrument.id)
    .map(({ alsoPlays, ...row }) => ({ ...row, instrument: alsoPlays }));
}

/**
 * The changes a player makes within a part (mutes, mallets, pedals, bow to fingers) and the rest each needs.
 *
 * @param instrument the instrument
 * @returns the changes; one's own figure stands before the family's
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { changeTimes } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const muteOn = changeTimes(instrumentById("viola")).find((row) => row.change === "mute on");
 * assertEquals(muteOn?.leastSeconds, 2);
 * ```
 */
export function changeTimes(instrument: Instrument): readonly ChangeTime[] {
  return changes(instrument);
}
