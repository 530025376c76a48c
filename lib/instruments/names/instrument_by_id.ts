/** One instrument of the catalogue, by its id or by a name that can only mean one. */
import { A_TEXT, checkArgument } from "../../base/arguments.ts";
import { allInstruments, type Instrument, instrumentById as byIdAlone } from "../catalogue.ts";
import { readInstrumentName } from "./read_instrument_name.ts";

/**
 * One instrument of the catalogue. A name that is no id but means one of the catalogue as scores write it, `horn` or
 * `Bb clarinet`, is taken too; the instrument then says so in its `confidenceNote`. Relatives that the catalogue has
 * no entry for, and keys it does not list, are refused: {@linkcode findInstrument} finds what stands in for them.
 *
 * @param id its id, for example `horn in F`, or a name
 * @returns the instrument; with a `confidenceNote` where it was found by a name
 * @throws {InputError} when the catalogue has none of that id or name; the nearest ids are named
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { assertEquals, assertThrows } from "@std/assert";
 * assertEquals(instrumentById("horn in F").transposeSemitones, -7);
 * const horn = instrumentById("horn");
 * assertEquals(horn.id, "horn in F");
 * assertEquals(horn.confidenceNote, `"horn" is taken for the horn in F.`);
 * assertThrows(() => instrumentById("horn in G"), Error, "horn in F");
 * ```
 */
export function instrumentById(id: string): Instrument {
  checkArgument("find the instrument", id, A_TEXT);
  if (allInstruments().some((each) => each.id === id)) return byIdAlone(id);
  const match = readInstrumentName(id, {});
  if (!match?.isWhole) return byIdAlone(id);
  const { instrument } = match;
  const others = allInstruments().filter(({ kind, id }) => kind === instrument.kind && id !== instrument.id);
  const choice = others.length === 0 || /\bin\b/.test(id)
    ? ""
    : ` There ${others.length === 1 ? "is" : "are"} also ${others.map((each) => each.id).join(", ")}.`;
  return { ...instrument, confidenceNote: `"${id.trim()}" is taken for the ${instrument.id}.${choice}` };
}
