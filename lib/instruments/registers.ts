/** The registers of an instrument: where they lie, how they sound, how soft and loud they can be. */
import { A_PITCH, AN_INSTRUMENT, checkArgument } from "../base/arguments.ts";
import registersText from "../../data/registers.csv" with { type: "text" };
import type { Decibels, SoundingPitch } from "../base/units.ts";
import type { Instrument } from "./catalogue.ts";
import { aMarking, aNumber, aPitch, someText, under } from "./data_table.ts";
import { type FigureSource, figureTable } from "./figure_table.ts";

/** One register of an instrument. */
export interface Register extends FigureSource {
  /** Name, for example `chalumeau`. */
  readonly name: string;
  /** Lowest sounding pitch. */
  readonly low: SoundingPitch;
  /** Highest sounding pitch. */
  readonly high: SoundingPitch;
  /** How it sounds and what it asks of the player. */
  readonly character: string;
  /** Softest dynamic that speaks safely, 1 ppp to 8 fff. */
  readonly softestDynamic: number;
  /** Loudest dynamic it can give, 1 ppp to 8 fff. */
  readonly loudestDynamic: number;
  /** How much stronger (or weaker) it sounds than the best register at the same marking, in dB; a model assumption. */
  readonly powerOffsetDb: Decibels;
  /**
   * Air taken here over air taken in the best register at the same loudness; a model assumption. 1 on brass, whose air
   * goes by pitch.
   */
  readonly airFactor: number;
  /** How fast notes speak here over how fast they speak in the best register; a model assumption. */
  readonly speedFactor: number;
}

/** Where a note lies on an instrument. */
export interface RegisterPlace {
  /** Name of the register, or `outside range`. */
  readonly name: string;
  /** How it sounds. */
  readonly character: string;
  /** False when the instrument does not have the note. */
  readonly inRange: boolean;
  /** False when the note lies beyond the comfortable range. */
  readonly comfortable: boolean;
  /** The register itself, or null outside the range and where the catalogue divides none. */
  readonly register: Register | null;
}

const registers = figureTable("data/registers.csv", registersText, {
  name: under("register", someText),
  low: under("low_sounding", aPitch),
  high: under("high_sounding", aPitch),
  softestDynamic: aMarking,
  loudestDynamic: aMarking,
  powerOffsetDb: aNumber,
  airFactor: aNumber,
  speedFactor: aNumber,
  character: someText,
}).nearest;

/**
 * The registers of an instrument from low to high, without gaps.
 *
 * @param instrument the instrument
 * @returns the registers; empty for unpitched percussion
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { registersOf } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(registersOf(instrumentById("clarinet in Bb")).map((r) => r.name), [
 *   "chalumeau",
 *   "throat",
 *   "clarion",
 *   "altissimo",
 * ]);
 * ```
 */
export function registersOf(instrument: Instrument): readonly Register[] {
  const found = registers(instrument);
  return instrument.unpitched ? [] : found;
}

/**
 * The register a note lies in.
 *
 * @param instrument the instrument
 * @param soundingPitch sounding MIDI pitch; rounded to the nearest semitone
 * @returns register, character, and whether the note is in range and comfortable; unpitched instruments have
 *   every note in range
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { registerOf } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const flute = instrumentById("flute");
 * assertEquals(registerOf(flute, 62).name, "low");
 * assertEquals(registerOf(flute, 50).name, "outside range");
 * ```
 */
export function registerOf(instrument: Instrument, soundingPitch: SoundingPitch): RegisterPlace {
  checkArgument("look up the register", soundingPitch, A_PITCH);
  checkArgument("look up an instrument", instrument, AN_INSTRUMENT);
  const pitch = Math.round(soundingPitch);
  const { rangeExtreme, rangeComfortable } = instrument;
  if (pitch < rangeExtreme.low || pitch > rangeExtreme.high) {
    const side = pitch < rangeExtreme.low ? "below" : "above";
    return {
      name: "outside range",
      character: `${side} the range`,
      inRange: false,
      comfortable: false,
      register: null,
    };
  }
  const comfortable = pitch >= rangeComfortable.low && pitch <= rangeComfortable.high;
  const register = registersOf(instrument).find((each) => pitch >= each.low && pitch <= each.high) ?? null;
  return {
    name: register?.name ?? (instrument.unpitched ? "unpitched" : "whole range"),
    character: register?.character ?? "",
    inRange: true,
    comfortable,
    register,
  };
}
