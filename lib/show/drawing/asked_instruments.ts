import { cannotDraw } from "./chart_options.ts";
import { type Instrument, instrumentById } from "../../instruments/catalogue.ts";

/** One instrument, or several: records of the catalogue or their ids. */
export type InstrumentsAsked = Instrument | string | readonly (Instrument | string)[];

export function askedInstruments(
  chart: string,
  asked: InstrumentsAsked,
  most: number,
): readonly Instrument[] {
  const list = Array.isArray(asked)
    ? asked as readonly (Instrument | string)[]
    : [asked as Instrument | string];
  if (list.length === 0 || list.length > most) {
    const problem = list.length === 0 ? "there is no instrument" : `there are ${list.length} instruments`;
    throw cannotDraw(chart, problem, `Give 1 to ${most}, for example "flute"`);
  }
  return list.map((one) => {
    if (typeof one === "string") return instrumentById(one);
    if (typeof one === "object" && one !== null && "rangeExtreme" in one) return one;
    const problem = "something in the list is not an instrument";
    throw cannotDraw(chart, problem, "Give records of the catalogue, or their ids");
  });
}
