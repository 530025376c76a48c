import { InputError } from "../../base/errors.ts";
import { type Instrument, instrumentById } from "../../instruments/catalogue.ts";

/** One instrument, or several: records of the catalogue or their ids. */
export type InstrumentsAsked = Instrument | string | readonly (Instrument | string)[];

/** The instruments a chart is asked for. */
export function askedInstruments(
  chart: string,
  asked: InstrumentsAsked,
  most: number,
): readonly Instrument[] {
  const list = Array.isArray(asked)
    ? asked as readonly (Instrument | string)[]
    : [asked as Instrument | string];
  const action = `draw the ${chart}`;
  if (list.length === 0 || list.length > most) {
    throw new InputError({
      action,
      problem: list.length === 0 ? "there is no instrument" : `there are ${list.length} instruments`,
      remedy: `Give 1 to ${most}, for example "flute"`,
    });
  }
  return list.map((one) => {
    if (typeof one === "string") return instrumentById(one);
    if (typeof one === "object" && one !== null && "rangeExtreme" in one) return one;
    throw new InputError({
      action,
      problem: "something in the list is not an instrument",
      remedy: "Give records of the catalogue, or their ids",
    });
  });
}
