/** Groups of an orchestra that are asked together, and what each may be asked for. */
import type { Instrument } from "../../instruments/catalogue.ts";
import { lineName } from "../../instruments/names/line_name.ts";
import type { Seat } from "../plan/seat.ts";

/** Lines of one instrument that are asked together, or one of them alone. */
export interface PlayerGroup {
  /** Names as a plan has them: a plural where all numbered lines of a name are meant. */
  readonly parts: readonly string[];
  /** Indexes of its seats. */
  readonly seats: readonly number[];
  readonly instrument: Instrument;
  /** Whether it is a string section. */
  readonly isSection: boolean;
}

/** Middle of the comfortable range below which an instrument seldom has the tune, sounding MIDI pitch. Common practice, no source. */
const TOO_LOW_TO_LEAD = 46;
/** Lowest comfortable note from which an instrument is no bass. Common practice, no source. */
const BASS_REACHES = 41;
/** Lowest comfortable note up to which chords have a place. Common practice, no source. */
const HOLDS_BELOW = 66;

/** All groups of an orchestra: each line, and all lines of one instrument that are numbered. */
export function coloursOf(seats: readonly Seat[]): readonly PlayerGroup[] {
  const single = seats.map((seat, i): PlayerGroup => ({
    parts: [seat.part.name],
    seats: [i],
    instrument: seat.instrument,
    isSection: seat.instrument.family === "strings" && seat.part.players > 1,
  }));
  const numbered = Map.groupBy(single, (c) => {
    const { stem, numbers } = lineName(c.parts[0]!);
    return numbers.length === 1 && /\d$/.test(c.parts[0]!) ? `${stem}|${c.instrument.id}` : "";
  });
  const together = [...numbered].flatMap(([key, own]): readonly PlayerGroup[] =>
    key === "" || own.length < 2 ? [] : [{
      parts: [`${key.split("|")[0]}s`],
      seats: own.flatMap((c) => c.seats),
      instrument: own[0]!.instrument,
      isSection: false,
    }]
  );
  return [...single, ...together];
}

function sings({ instrument: i }: PlayerGroup): boolean {
  return i.sustains && !i.unpitched &&
    (i.family === "woodwind" || i.family === "brass" || i.family === "strings");
}

/** Whether it can have a tune that reaches from one pitch to another, in some octave. */
export function canLead(colour: PlayerGroup, tune: { readonly low: number; readonly high: number }): boolean {
  const { low, high } = colour.instrument.rangeComfortable;
  if (!sings(colour) || (low + high) / 2 < TOO_LOW_TO_LEAD) return false;
  return [-2, -1, 0, 1, 2].some((octave) => tune.low + 12 * octave >= low && tune.high + 12 * octave <= high);
}

/** Whether it can be the bass. */
export function canBeBass({ instrument: i }: PlayerGroup): boolean {
  return !i.unpitched && i.id !== "timpani" && (i.family !== "keyboard") && i.family !== "plucked" &&
    i.rangeComfortable.low <= BASS_REACHES;
}

/** Whether it can hold chords under a tune. */
export function canHold(colour: PlayerGroup): boolean {
  const { low, high } = colour.instrument.rangeComfortable;
  return sings(colour) && low < HOLDS_BELOW && (low + high) / 2 >= TOO_LOW_TO_LEAD;
}

/** Whether it can be asked to move: repeat, break chords, run, shake. */
export function canMove({ instrument: i }: PlayerGroup): boolean {
  return !i.unpitched && i.id !== "timpani" && i.rangeComfortable.low < 80 &&
    (i.rangeComfortable.low + i.rangeComfortable.high) / 2 >= TOO_LOW_TO_LEAD;
}

/** Whether it marks downbeats: brass, drums with a pitch. */
export function canPunctuate({ instrument: i }: PlayerGroup): boolean {
  return i.family === "brass" || i.id === "timpani";
}
