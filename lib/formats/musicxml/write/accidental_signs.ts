/** Which heads need an accidental in front of them. */
import type { Spelling } from "../../../score/model.ts";
import { alterInKey } from "../../../score/spelling.ts";

/** Names of accidentals by alteration, as MusicXML has them. */
const NAMES: Readonly<Record<string, string>> = {
  "-2": "flat-flat",
  "-1.5": "three-quarters-flat",
  "-1": "flat",
  "-0.5": "quarter-flat",
  "0": "natural",
  "0.5": "quarter-sharp",
  "1": "sharp",
  "1.5": "three-quarters-sharp",
  "2": "double-sharp",
};

/** An accidental in front of a head. */
export interface WrittenAccidental {
  /** In the words of MusicXML. */
  readonly name: string;
  /** A courtesy: the key says it already, and an accidental nearby says otherwise. */
  readonly isCourtesy: boolean;
}

/** Alterations that are written in a bar of one stave, by letter and octave. */
export type Alterations = ReadonlyMap<string, number>;

/** One bar of one stave, asked in order of time. */
interface AccidentalsOfBar {
  /** The sign that a written spelling needs, or is given as a courtesy. */
  readonly signFor: (spelling: Spelling) => WrittenAccidental | undefined;
  /** What has been written so far. */
  readonly altered: Alterations;
}

/**
 * Starts a bar of one stave, where an accidental holds for its line or space until the bar line. Where the bar before
 * is given, the first note of a line that was altered there is shown to be as the key has it, and so is a note whose
 * letter is altered in another octave of the bar.
 */
export function accidentalsOfBar(keyFifths: number, before?: Alterations): AccidentalsOfBar {
  const altered = new Map<string, number>();
  const courtesies = new Set<string>();
  const isDoubtful = ({ step, alter, octave }: Spelling): boolean => {
    if (!before || courtesies.has(`${step}${octave}`) || altered.has(`${step}${octave}`)) return false;
    const last = before.get(`${step}${octave}`);
    return (last !== undefined && last !== alter) ||
      [...altered].some(([place, other]) => place[0] === step && other !== alter);
  };
  return {
    altered,
    signFor(spelling) {
      const { step, alter, octave } = spelling;
      const place = `${step}${octave}`;
      const holds = altered.get(place) ?? alterInKey(step, keyFifths);
      const name = NAMES[String(alter)];
      if (holds !== alter) {
        altered.set(place, alter);
        return name === undefined ? undefined : { name, isCourtesy: false };
      }
      if (name === undefined || !isDoubtful(spelling)) return undefined;
      courtesies.add(place);
      return { name, isCourtesy: true };
    },
  };
}
