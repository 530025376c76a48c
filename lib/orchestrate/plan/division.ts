/** Who of a layer divides, and into how many groups. */
import type { Instrument } from "../../instruments/catalogue.ts";
import { stringsOf } from "../../instruments/special/stops.ts";
import type { Divisi } from "./extra_columns.ts";
import type { Seat } from "./seat.ts";

/** Groups of a divided line. */
const GROUPS: Readonly<Partial<Record<Divisi, number>>> = {
  "divided": 2,
  "divided in three": 3,
  "divided in four": 4,
};

/** How a part shares a chord. */
interface Division {
  /** Tones it has: 1 where it is not divided. */
  readonly tones: number;
  /** Whether every player has all of them. */
  readonly isStopped: boolean;
}

/** Notes at once from which an instrument is one of chords: keys and harp, not bars under four mallets. */
const HANDFUL = 8;

/** Whether one player has hands for whole chords. */
export function playsChords({ mostNotes }: Instrument): boolean {
  return mostNotes >= HANDFUL;
}

const UNDIVIDED: Division = { tones: 1, isStopped: false };

/**
 * How a part shares the chords of a layer: a line of several players divides into groups, a player of strings stops two.
 * Single players, keys and harp and what has no pitch are left as they are.
 */
export function divisionOf(divisi: Divisi | undefined, { part, instrument }: Seat): Division {
  if (divisi === undefined || instrument.unpitched || playsChords(instrument)) return UNDIVIDED;
  if (divisi === "double stops") {
    return stringsOf(instrument).length > 0 ? { tones: 2, isStopped: true } : UNDIVIDED;
  }
  return part.players > 1 ? { tones: GROUPS[divisi] ?? 1, isStopped: false } : UNDIVIDED;
}

/** What is wrong with how a layer is to be written, and what to do. */
export interface SharingSlip {
  readonly problem: string;
  readonly remedy: string;
}

/** Whether a part is a section of strings whose desks can take turns, or pluck and bow. */
export function hasDesks({ part, instrument }: Seat): boolean {
  return stringsOf(instrument).length > 0 && part.players >= FEWEST_IN_DESKS;
}

/** Players of two desks. */
const FEWEST_IN_DESKS = 4;

/** Why half of a bass cannot pluck. */
function plucksSlip(seats: readonly Seat[]): SharingSlip | undefined {
  if (seats.some(hasDesks)) return undefined;
  const [problem, remedy] = [
    `${
      seats.map((s) => `"${s.part.name}"`).join(", ")
    } is no section of strings of ${FEWEST_IN_DESKS} and more`,
    "Give the bass a section, give another layer the pizzicato, or leave divisi empty",
  ];
  return { problem, remedy };
}

/** Why the parts of a layer cannot share its chords as they should; undefined where they can. */
export function divisionSlip(divisi: Divisi | undefined, seats: readonly Seat[]): SharingSlip | undefined {
  if (divisi === undefined) return undefined;
  if (divisi === "half pizzicato") return plucksSlip(seats);
  const sharing = seats.filter((seat) => divisionOf(divisi, seat).tones > 1);
  const names = seats.map((s) => `"${s.part.name}"`).join(", ");
  if (sharing.length === 0) {
    return divisi === "double stops"
      ? {
        problem: `${names} ${seats.length === 1 ? "has" : "have"} no strings to stop`,
        remedy: "Give the layer bowed strings, divide it, or leave divisi empty",
      }
      : {
        problem: seats.length === 1
          ? `${names} is one player, who cannot divide`
          : `${names} are single players, who cannot divide`,
        remedy: "Name a section or a pair, ask strings for double stops, or leave divisi empty",
      };
  }
  if (divisi === "double stops") return undefined;
  const short = sharing.find((seat) => divisionOf(divisi, seat).tones > seat.part.players);
  return short && {
    problem: `"${short.part.name}" has ${short.part.players} players, too few for ${
      divisionOf(divisi, short).tones
    } groups`,
    remedy: "Divide into fewer groups, give the section more players, or name more parts",
  };
}
