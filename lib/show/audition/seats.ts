/** Where players sit, from left to right as the listener has them. */
import { InputError } from "../../base/errors.ts";
import { type Instrument, INSTRUMENT_FAMILIES } from "../../instruments/catalogue.ts";
import type { Part } from "../../score/model.ts";

/** The usual seats, from -1 (left) to 1 (right): first match counts. Common practice, no source. */
const SEATS: readonly (readonly [name: RegExp, seat: number])[] = [
  [/^violins? (ii|2)\b/i, -0.35],
  [/^(solo )?violin/i, -0.65],
  [/^(solo )?viola\b|^violas/i, 0.3],
  [/^(solo )?cello|^violoncello/i, 0.6],
  [/double bass|contrabass(?!oon| clarinet| trombone)/i, 0.8],
  [/piccolo|flute|recorder/i, -0.2],
  [/oboe|cor anglais|heckelphone/i, 0.15],
  [/clarinet|basset/i, -0.15],
  [/contrabassoon|bassoon/i, 0.25],
  [/saxophone/i, 0],
  [/horn|Wagner/i, -0.45],
  [/trumpet|cornet|flugelhorn/i, 0.3],
  [/trombone/i, 0.5],
  [/tuba|euphonium/i, 0.65],
  [/timpani/i, 0.05],
  [/harp\b/i, -0.7],
  [/piano|celesta/i, -0.55],
];
const FAMILY_SEATS = {
  woodwind: 0,
  brass: 0.3,
  percussion: -0.35,
  keyboard: -0.5,
  plucked: -0.6,
  strings: 0.2,
  voice: 0,
} as const;

/** Seats of parts, those that were given before the usual ones. */
export function seatsOf(
  parts: readonly Part[],
  instruments: readonly Instrument[],
  given: Readonly<Record<string, number>> = {},
): readonly number[] {
  const refuse = (problem: string, remedy: string): never => {
    throw new InputError({ action: "seat the players", problem, remedy });
  };
  const names = parts.map((part) => part.name);
  for (const [name, seat] of Object.entries(given)) {
    if (!names.includes(name) && !INSTRUMENT_FAMILIES.some((family) => family === name)) {
      refuse(
        `"${name}" is neither a part of this score nor a family`,
        `The families are ${INSTRUMENT_FAMILIES.join(", ")}; the parts ${names.join(", ")}`,
      );
    }
    if (typeof seat !== "number" || !(seat >= -1 && seat <= 1)) {
      refuse(`the seat of ${name} is ${String(seat)}`, "Give a number from -1 (left) to 1 (right)");
    }
  }
  return parts.map(({ name }, p) => {
    const { id, family } = instruments[p]!;
    const usual = SEATS.find(([pattern]) => pattern.test(name)) ??
      SEATS.find(([pattern]) => pattern.test(id));
    return given[name] ?? given[family] ?? usual?.[1] ?? FAMILY_SEATS[family];
  });
}
