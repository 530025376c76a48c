/** Ways of playing an instrument has. From `data/techniques.csv`. */
import techniquesText from "../../data/techniques.csv" with { type: "text" };
import type { Instrument } from "./catalogue.ts";
import { anyText, oneOf, someText } from "./data_table.ts";
import { type FigureSource, figureTable } from "./figure_table.ts";

/** A way of playing, and whether any professional is expected to have it. */
export interface InstrumentTechnique extends FigureSource {
  /** Name, as in `Note.technique`; also `tremolo` and `glissando`. */
  readonly technique: string;
  /** `usual`: any professional; `advanced`: ask first. */
  readonly custom: "usual" | "advanced";
  /** What binds it, or empty. */
  readonly note: string;
}

const techniques = figureTable("data/techniques.csv", techniquesText, {
  technique: someText,
  custom: oneOf(["usual", "advanced"]),
  note: anyText,
}).eachOf("technique");

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
  return techniques(instrument);
}
