/** Ways of playing an instrument has. From `data/techniques.csv`. */
import techniquesText from "../../data/techniques.csv" with { type: "text" };
import { figureNames, type Instrument } from "./catalogue.ts";
import { anyText, oneOf, readTable, someText, type Sourced, sourced } from "./data_table.ts";

/** A way of playing, and whether any professional is expected to have it. */
export interface InstrumentTechnique extends Sourced {
  /** Name, as in `Note.technique`; also `tremolo` and `glissando`. */
  readonly technique: string;
  /** `usual`: any professional; `advanced`: ask first. */
  readonly custom: "usual" | "advanced";
  /** What binds it, or empty. */
  readonly note: string;
}

const rows = readTable(techniquesText, {
  file: "data/techniques.csv",
  columns: {
    instrument: someText,
    technique: someText,
    custom: oneOf(["usual", "advanced"]),
    note: anyText,
    ...sourced,
  },
});

const known = new WeakMap<Instrument, readonly InstrumentTechnique[]>();

/**
 * The ways of playing an instrument has besides the ordinary one: plucked, muted, stopped, fluttered, harmonics.
 * What is not listed is not customary: ask a player.
 *
 * @param instrument the instrument
 * @returns the ways; one's own row stands before the family's
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { techniquesOf } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const has = (id: string, technique: string) =>
 *   techniquesOf(instrumentById(id)).find((each) => each.technique === technique)?.custom;
 * assertEquals(has("viola", "pizzicato"), "usual");
 * assertEquals(has("oboe", "flutter"), "advanced");
 * assertEquals(has("trumpet in C", "stopped"), undefined);
 * ```
 */
export function techniquesOf(instrument: Instrument): readonly InstrumentTechnique[] {
  let techniques = known.get(instrument);
  if (techniques === undefined) {
    const found: InstrumentTechnique[] = [];
    for (const name of figureNames(instrument)) {
      const have = new Set(found.map((each) => each.technique));
      for (const row of rows) {
        if (row.instrument !== name || have.has(row.technique)) continue;
        const { technique, custom, note, source, confidence } = row;
        found.push({ technique, custom, note, source, confidence });
      }
    }
    known.set(instrument, techniques = found);
  }
  return techniques;
}
