/** From what a part radiates to what arrives at the listener: a simple hall, or microphones. */
import { A_POSITIVE, checkOptions } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { type Instrument, INSTRUMENT_FAMILIES } from "../../instruments/catalogue.ts";
import type { Part } from "../../score/model.ts";
import type { Decibels } from "../../base/units.ts";

/**
 * A simple hall: direct sound that falls with distance, and reverberant sound that is the same everywhere. What is
 * given per part goes by part name, or by family (`woodwind`, `brass`, `percussion`, `keyboard`, `plucked`,
 * `strings`, `voice`); a part's own name counts before its family's.
 */
export interface Hall {
  /** Metres from the front of the stage to the listener. @default {15} */
  readonly distanceMetres?: number;
  /** Room constant in square metres: the absorption, `S a / (1 - a)`. Instead of volume and reverberation time. */
  readonly roomConstantSquareMetres?: number;
  /** Volume in cubic metres. */
  readonly volumeCubicMetres?: number;
  /** Reverberation time in seconds, at mid frequencies. */
  readonly reverberationSeconds?: number;
  /** Metres a part or family sits behind the front of the stage; see {@linkcode SEATING_METRES}. */
  readonly depthMetres?: Readonly<Record<string, number>>;
  /** Directivity factor Q of a part or family towards the listener; 1 radiates alike all round. @default {1} */
  readonly directivity?: Readonly<Record<string, number>>;
}

/** What decides the level at the listener. */
export interface ListeningPlace {
  /** The hall; without one, every part is heard at the strength `hallStrengthDb`, wherever it sits. */
  readonly hall?: Hall;
  /**
   * Close microphones: level of a part or family in dB against what it has in the hall without any seating. A part
   * that has a gain is heard at that level alone, without distance and hall.
   */
  readonly gainsDb?: Readonly<Record<string, number>>;
}

/** Level of a source 10 m away in the open: Lp = Lw - 31 dB + G. Source: ISO 3382-1:2009, Annex A. */
const POWER_TO_LEVEL_DB = -31;

/** Distance at which a hall without a room constant has the strength asked for, in metres. */
const USUAL_DISTANCE = 15;

/** How far a section sits behind the front of the stage, in metres. Common practice, no source. */
export const SEATING_METRES: Readonly<Record<string, number>> = {
  strings: 3,
  plucked: 4,
  keyboard: 5,
  woodwind: 6,
  brass: 8,
  percussion: 10,
  voice: 11,
};

const ACTION = "compute balance";

/**
 * What is added to the power level of each part to have its level at the listener.
 *
 * In a hall `Lp = Lw + 10 log10(Q / (4 pi r^2) + 4 / R)`, with r the distance and R the room constant, from volume
 * and reverberation time `R = 0.161 V / T` (absorption area, Sabine). Without either, R is what gives `hallStrengthDb`
 * at 15 m. Source: Beranek, Acoustics (1954), ch. 10; Kuttruff, Room Acoustics (5th ed. 2009), ch. 5; both from
 * memory. Real halls lose some decibels towards the back that this formula does not know (Barron and Lee 1988).
 */
export function listeningLevelsDb(
  parts: readonly { readonly part: Part; readonly instrument: Instrument }[],
  place: ListeningPlace,
  hallStrengthDb: Decibels,
): readonly Decibels[] {
  const plain = inAnyHallDb(hallStrengthDb);
  const names = parts.map(({ part }) => part.name);
  const gains = checkedNames("gainsDb", place.gainsDb, names);
  const hall = place.hall && checkedHall(place.hall, names);
  return parts.map(({ part, instrument: { family } }): Decibels => {
    const own = <T>(table: Readonly<Record<string, T>>) => table[part.name] ?? table[family];
    const gain = own(gains);
    if (gain !== undefined) return plain + gain;
    if (!hall) return plain;
    const distance = (hall.distanceMetres ?? USUAL_DISTANCE) +
      (own(hall.depthMetres ?? {}) ?? SEATING_METRES[family]!);
    const direct = (own(hall.directivity ?? {}) ?? 1) * directOf(distance);
    return 10 * Math.log10(direct + 4 / roomConstant(hall, plain));
  });
}

/** The same where nothing is said of the hall but its strength. */
export function inAnyHallDb(hallStrengthDb: Decibels): Decibels {
  return POWER_TO_LEVEL_DB + hallStrengthDb;
}

/**
 * Share of what arrives of each part in a hall that comes straight from the stage, 0 to 1; the rest is the hall's. For a
 * part with a microphone of its own all of it.
 */
export function directShares(
  parts: readonly { readonly part: Part; readonly instrument: Instrument }[],
  place: ListeningPlace & { readonly hall: Hall },
  hallStrengthDb: Decibels,
): readonly number[] {
  const levels = listeningLevelsDb(parts, place, hallStrengthDb);
  const plain = inAnyHallDb(hallStrengthDb);
  const reverberant = 4 / roomConstant(place.hall, plain);
  return parts.map(({ part, instrument: { family } }, p) =>
    (place.gainsDb?.[part.name] ?? place.gainsDb?.[family]) === undefined
      ? Math.max(0, 1 - reverberant / 10 ** (levels[p]! / 10))
      : 1
  );
}

/** Share of the power that passes a square metre at a distance. */
function directOf(metres: number): number {
  return 1 / (4 * Math.PI * metres ** 2);
}

function roomConstant(hall: Hall, plainDb: Decibels): number {
  const { roomConstantSquareMetres, volumeCubicMetres, reverberationSeconds } = hall;
  if (roomConstantSquareMetres !== undefined) return roomConstantSquareMetres;
  if (volumeCubicMetres !== undefined) return 0.161 * volumeCubicMetres / reverberationSeconds!;
  const reverberant = 10 ** (plainDb / 10) - directOf(USUAL_DISTANCE);
  return reverberant > 0 ? 4 / reverberant : Infinity;
}

const HALL = {
  distanceMetres: A_POSITIVE,
  roomConstantSquareMetres: A_POSITIVE,
  volumeCubicMetres: A_POSITIVE,
  reverberationSeconds: A_POSITIVE,
  depthMetres: undefined,
  directivity: undefined,
};

function checkedHall(hall: Hall, names: readonly string[]): Hall {
  checkOptions(ACTION, hall, HALL);
  if ((hall.volumeCubicMetres === undefined) !== (hall.reverberationSeconds === undefined)) {
    refuse(
      "the hall has a volume or a reverberation time, but not both",
      "Give volumeCubicMetres and reverberationSeconds, or roomConstantSquareMetres alone",
    );
  }
  if (hall.roomConstantSquareMetres !== undefined && hall.volumeCubicMetres !== undefined) {
    refuse(
      "the hall has a room constant and a volume",
      "Give roomConstantSquareMetres, or volumeCubicMetres and reverberationSeconds",
    );
  }
  for (const name of ["depthMetres", "directivity"] as const) {
    for (const [key, value] of Object.entries(checkedNames(name, hall[name], names))) {
      if (value < 0) refuse(`${name} of ${key} is ${value}`, "Give 0 or more");
    }
  }
  return hall;
}

/** A table by part name or family, every name known and every figure a number. */
function checkedNames(
  option: string,
  table: Readonly<Record<string, number>> = {},
  names: readonly string[],
): Readonly<Record<string, number>> {
  if (typeof table !== "object" || table === null || Array.isArray(table)) {
    refuse(`${option} is no table of names and numbers`, `Give for example { brass: -3 }`);
  }
  for (const [key, value] of Object.entries(table)) {
    if (!names.includes(key) && !(INSTRUMENT_FAMILIES as readonly string[]).includes(key)) {
      refuse(
        `${option} names "${key}", which is neither a part of this score nor a family`,
        `The families are ${INSTRUMENT_FAMILIES.join(", ")}; the parts ${names.join(", ")}`,
      );
    }
    if (typeof value !== "number" || !Number.isFinite(value)) {
      refuse(`${option} of ${key} is ${String(value)}`, "Give a number");
    }
  }
  return table;
}

function refuse(problem: string, remedy: string): never {
  throw new InputError({ action: ACTION, problem, remedy });
}
