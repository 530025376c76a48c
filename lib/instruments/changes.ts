/** What players change to, and how long it takes. From `data/second_instruments.csv` and `data/change_times.csv`. */
import { AN_INSTRUMENT, checkArgument } from "../base/arguments.ts";
import changesText from "../../data/change_times.csv" with { type: "text" };
import secondInstrumentsText from "../../data/second_instruments.csv" with { type: "text" };
import type { Seconds } from "../base/units.ts";
import { figureNames, type Instrument } from "./catalogue.ts";
import { aNumber, anyText, oneOf, readTable, someText, type Sourced, sourced } from "./data_table.ts";

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
export interface ChangeTime extends Sourced {
  /** What is changed, for example `mute in`. */
  readonly change: string;
  /** Shortest rest in which it can be done. */
  readonly leastSeconds: Seconds;
  /** Rest in which it is done calmly. */
  readonly comfortableSeconds: Seconds;
  /** A remark, or empty. */
  readonly note: string;
}

const secondInstrumentRows = readTable(secondInstrumentsText, {
  file: "data/second_instruments.csv",
  columns: {
    instrument: someText,
    also_plays: someText,
    custom: oneOf(["usual", "possible"]),
    change_seconds: aNumber,
    ...sourced,
  },
});

const changeRows = readTable(changesText, {
  file: "data/change_times.csv",
  columns: {
    instrument: someText,
    change: someText,
    least_seconds: aNumber,
    comfortable_seconds: aNumber,
    note: anyText,
    ...sourced,
  },
});

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
  return secondInstrumentRows.filter((row) => row.instrument === instrument.id).map((row) => ({
    instrument: row.also_plays,
    custom: row.custom,
    changeSeconds: row.change_seconds,
    source: row.source,
    confidence: row.confidence,
  }));
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
  const times: ChangeTime[] = [];
  for (const name of figureNames(instrument)) {
    const have = new Set(times.map((time) => time.change));
    for (const row of changeRows) {
      if (row.instrument !== name || have.has(row.change)) continue;
      times.push({
        change: row.change,
        leastSeconds: row.least_seconds,
        comfortableSeconds: row.comfortable_seconds,
        note: row.note,
        source: row.source,
        confidence: row.confidence,
      });
    }
  }
  return times;
}
