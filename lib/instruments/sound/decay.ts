/** How fast a plucked or struck note dies away. From `data/decay.csv`. */
import decayText from "../../../data/decay.csv" with { type: "text" };
import type { Seconds } from "../../base/units.ts";
import type { Instrument } from "../catalogue.ts";
import { aNumber, oneOf } from "../data_table.ts";
import { figureTable } from "../figure_table.ts";

const table = figureTable("data/decay.csv", decayText, {
  technique: oneOf(["ordinario", "pizzicato"]),
  decaySeconds: aNumber,
});

const decayOf = (way: string) =>
  table.made((rows, { sustains }) => rows.find((row) => row.technique === way || !sustains)?.decaySeconds);
const struck = decayOf("ordinario");
const plucked = decayOf("pizzicato");

/**
 * Time in which a note that is plucked or struck falls to 1/e of its power.
 *
 * Sixty decibels take 13.8 times as long. The figures are orders of magnitude for the middle register, low notes ring
 * longer and high ones shorter. Null for a note that is held; `pizzicato` plucks what is otherwise bowed.
 */
export function decaySeconds(instrument: Instrument, technique: string): Seconds | null {
  const isPlucked = technique === "pizzicato";
  if (instrument.sustains && !isPlucked) return null;
  // Where there is no figure nothing customary is plucked: what the player does instead is held.
  return (isPlucked ? plucked : struck)(instrument) ?? null;
}
