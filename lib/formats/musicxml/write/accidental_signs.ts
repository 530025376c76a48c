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

/**
 * Starts a bar of one stave, where an accidental holds for its line or space until the bar line: asked in order of
 * time, it names the sign that a written spelling needs.
 */
export function accidentalsOfBar(keyFifths: number): (spelling: Spelling) => string | undefined {
  const altered = new Map<string, number>();
  return ({ step, alter, octave }) => {
    const place = `${step}${octave}`;
    const holds = altered.get(place) ?? alterInKey(step, keyFifths);
    if (holds === alter) return undefined;
    altered.set(place, alter);
    return NAMES[String(alter)];
  };
}
