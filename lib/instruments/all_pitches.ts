import { memoOf } from "../base/memo.ts";
import { allInstruments, type Instrument, type PitchRange } from "./catalogue.ts";

/** From the lowest to the highest sounding pitch that any instrument of the catalogue has. */
export function allPitches(): PitchRange {
  return pitchesOf(allInstruments());
}

const pitchesOf = memoOf((instruments: readonly Instrument[]): PitchRange => {
  const ranges = instruments.filter((each) => !each.unpitched).map((each) => each.rangeExtreme);
  return { low: Math.min(...ranges.map((r) => r.low)), high: Math.max(...ranges.map((r) => r.high)) };
});
