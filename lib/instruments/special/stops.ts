/** Double, triple and quadruple stops: which strings, and whether the hand reaches. From `data/strings.csv`. */
import { checkArgument, NUMBERS } from "../../base/arguments.ts";
import stringsText from "../../../data/strings.csv" with { type: "text" };
import type { SoundingPitch } from "../../base/units.ts";
import type { Instrument } from "../catalogue.ts";
import { aNumber, aPitch, someConfidence, someText, under } from "../data_table.ts";
import { type FigureSource, figureTable } from "../figure_table.ts";

/** One string of an instrument. */
export interface InstrumentString extends FigureSource {
  /** Sounding pitch of the open string. */
  readonly openPitch: SoundingPitch;
  /** Semitones between first and fourth finger in one position. */
  readonly handSemitones: number;
  /** Highest note commonly asked for on it, in semitones above the open string. */
  readonly reachSemitones: number;
}

/** Whether several notes can be stopped together, and on which strings. */
export interface Stop {
  /** True when each note has a string of its own, the strings lie side by side, and the hand reaches. */
  readonly possible: boolean;
  /** String of each note, lowest note first, counted from the lowest string, from 1; empty where impossible. */
  readonly strings: readonly number[];
  /** Semitones between the lowest and highest finger, open strings not counted. */
  readonly stretchSemitones: number;
  /** Notes left to open strings. */
  readonly openStrings: number;
  /** Why it cannot be done, in a sentence; empty where it can. */
  readonly reason: string;
}

/** Strings stand from the lowest up. */
const strings = figureTable("data/strings.csv", stringsText, {
  stringFromLowest: aNumber,
  openPitch: under("open_sounding", aPitch),
  handSemitones: aNumber,
  reachSemitones: aNumber,
  handSource: someText,
  handConfidence: someConfidence,
}).nearest;

/**
 * The strings of an instrument, lowest first.
 *
 * @param instrument the instrument
 * @returns its strings; empty for what has no fingerboard
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { stringsOf } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(stringsOf(instrumentById("viola")).map((string) => string.openPitch), [48, 55, 62, 69]);
 * ```
 */
export function stringsOf(instrument: Instrument): readonly InstrumentString[] {
  return strings(instrument);
}

/**
 * Whether one player can stop several notes together, and how: each note on a string of its own, bowed strings
 * side by side, all fingers within the hand's span. Of all ways the one with the least stretch is given.
 * More than two notes are rolled on a bowed instrument; this only says that the hand can hold them. Natural
 * and artificial harmonics are not considered.
 *
 * @param instrument a bowed or fretted instrument
 * @param soundingPitches the notes, in any order
 * @returns strings and stretch, or the reason why not
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { stopOn } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const violin = instrumentById("violin");
 * assertEquals(stopOn(violin, [55, 62]).possible, true); // the two lowest open strings
 * assertEquals(stopOn(violin, [55, 57]).possible, false); // both only on the G string
 * ```
 */
export function stopOn(instrument: Instrument, soundingPitches: readonly SoundingPitch[]): Stop {
  checkArgument("find the stop", soundingPitches, NUMBERS);
  const strings = stringsOf(instrument);
  const pitches = [...soundingPitches].sort((a, b) => a - b);
  const impossible = (reason: string): Stop => ({
    possible: false,
    strings: [],
    stretchSemitones: 0,
    openStrings: 0,
    reason,
  });
  if (strings.length === 0) return impossible(`The ${instrument.id} has no strings to stop.`);
  if (pitches.length > strings.length) {
    return impossible(`${pitches.length} notes, and only ${strings.length} strings.`);
  }
  let best: Stop | null = null;
  let leastStretch = Infinity;
  for (const chosen of choices(strings.length, pitches.length)) {
    const sideBySide = chosen.every((string, index) => index === 0 || string === chosen[index - 1]! + 1);
    if (instrument.soundProduction === "bowed" && !sideBySide) continue;
    const fingers = pitches.map((pitch, index) => pitch - strings[chosen[index]!]!.openPitch);
    if (fingers.some((finger, index) => finger < 0 || finger > strings[chosen[index]!]!.reachSemitones)) {
      continue;
    }
    const stopped = fingers.filter((finger) => finger > 0);
    const stretch = stopped.length < 2 ? 0 : Math.max(...stopped) - Math.min(...stopped);
    leastStretch = Math.min(leastStretch, stretch);
    if (stretch > strings[chosen[0]!]!.handSemitones) continue;
    if (best === null || stretch < best.stretchSemitones) {
      best = {
        possible: true,
        strings: chosen.map((string) => string + 1),
        stretchSemitones: stretch,
        openStrings: fingers.length - stopped.length,
        reason: "",
      };
    }
  }
  return best ??
    impossible(
      leastStretch < Infinity
        ? `The fingers would stand ${leastStretch} semitones apart on the strings, and the hand spans ${
          strings[0]!.handSemitones
        }.`
        : "The notes do not lie on neighbouring strings.",
    );
}

/** Ways to choose `count` strings of `strings`, each in rising order. */
function choices(strings: number, count: number, from = 0): number[][] {
  if (count === 0) return [[]];
  const all: number[][] = [];
  for (let first = from; first + count <= strings; first++) {
    for (const rest of choices(strings, count - 1, first + 1)) all.push([first, ...rest]);
  }
  return all;
}
