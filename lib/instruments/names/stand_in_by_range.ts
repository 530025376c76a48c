/** What stands in for an instrument that nobody knows: one of its family, as far as its name tells, with its range. */
import { mean } from "simple-statistics";
import { type Instrument, instrumentById } from "../catalogue.ts";

/** Families from high to low; model assumption: their middle registers stand for what is written there. */
const FAMILIES = {
  woodwind: ["flute", "clarinet in Bb", "bassoon"],
  brass: ["trumpet in C", "horn in F", "tenor trombone", "tuba"],
  strings: ["solo violin", "solo viola", "solo cello", "solo double bass"],
} as const;

/** What names of instruments have in them that tell their family. Common practice, no source. */
const SIGNS: readonly (readonly [RegExp, keyof typeof FAMILIES])[] = [
  [/horn|corn|bugle|trump|tromp|tromb|tub[ae]\b/i, "brass"],
  [/flut|flöt|pipe|reed|oboe|whistle|phone\b/i, "woodwind"],
  [/viol|fiddle|geige|string|gamba/i, "strings"],
];

/**
 * An instrument for a line of single notes whose own is not known: by its family where its name tells one, else a
 * woodwind, and of these the one whose comfortable range lies nearest to the notes. Undefined where nothing sounds.
 *
 * @param name name of the line
 * @param soundingPitches its pitches, MIDI numbers
 */
export function standInByRange(name: string, soundingPitches: readonly number[]): Instrument | undefined {
  if (soundingPitches.length === 0) return undefined;
  const family = SIGNS.find(([sign]) => sign.test(name))?.[1] ?? "woodwind";
  const middle = mean([...soundingPitches]);
  const distance = ({ rangeComfortable: { low, high } }: Instrument) => Math.abs(middle - (low + high) / 2);
  return FAMILIES[family].map(instrumentById).reduce((best, each) =>
    distance(each) < distance(best) ? each : best
  );
}
