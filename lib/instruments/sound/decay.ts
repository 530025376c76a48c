/** How fast a plucked or struck note dies away. From `data/decay.csv`. */
import decayText from "../../../data/decay.csv" with { type: "text" };
import type { Seconds } from "../../base/units.ts";
import { figureNames, type Instrument } from "../catalogue.ts";
import { aNumber, oneOf, readTable, someText, sourced } from "../data_table.ts";

const rows = readTable(decayText, {
  file: "data/decay.csv",
  columns: {
    instrument: someText,
    technique: oneOf(["ordinario", "pizzicato"]),
    decay_seconds: aNumber,
    ...sourced,
  },
});

const known = new WeakMap<Instrument, Map<string, Seconds | null>>();

/**
 * Time in which a note that is plucked or struck falls to 1/e of its power.
 *
 * Sixty decibels take 13.8 times as long. The figures are orders of magnitude for the middle register, low notes ring
 * longer and high ones shorter. Null for a note that is held; `pizzicato` plucks what is otherwise bowed.
 */
export function decaySeconds(instrument: Instrument, technique: string): Seconds | null {
  const way = technique === "pizzicato" ? "pizzicato" : "ordinario";
  let own = known.get(instrument);
  if (!own) known.set(instrument, own = new Map());
  let seconds = own.get(way);
  if (seconds === undefined) own.set(way, seconds = read(instrument, way));
  return seconds;
}

function read(instrument: Instrument, way: string): Seconds | null {
  if (instrument.sustains && way === "ordinario") return null;
  for (const name of figureNames(instrument)) {
    const row = rows.find((each) =>
      each.instrument === name && (each.technique === way || !instrument.sustains)
    );
    if (row) return row.decay_seconds;
  }
  // Nothing customary is plucked here: what the player does instead is held.
  return null;
}
