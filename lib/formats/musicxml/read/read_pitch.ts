/** Sounding pitch and spelling of a `<note>`. */
import { pitchOfSpelling, transposeSpelling } from "../../../score/spelling.ts";
import type { RawNote } from "../../assemble/raw_score.ts";
import { DEFAULT_PERCUSSION_KEY } from "./listed_part.ts";
import { type MusicXmlReading, type PartReading, refusal, transpositionOf } from "./musicxml_reading.ts";
import { childOf, textOf, type XmlElement } from "./xml_elements.ts";

/** Sounding pitch and spelling; the step is empty where there is no spelling. */
type Pitch = Pick<RawNote, "soundingPitch" | "step" | "alter" | "octave">;

/** Names of the elements of a pitch, and of the place of a stroke that has none. */
const PITCH = { step: "step", alter: "alter", octave: "octave" };
const DISPLAY = { step: "display-step", alter: "", octave: "display-octave" };

/** Most octaves a pitch may lie beyond those that MusicXML names, on the page of a transposing part. */
const MOST_OCTAVES_BEYOND = 3;

/** Whether a letter names a step. */
export function isStep(letter: string | undefined): letter is string {
  return letter !== undefined && /^[A-G]$/.test(letter);
}

/** Pitch of a note, or of an unpitched stroke; undefined where it has neither, as a rest has. */
export function soundingPitch(
  reading: MusicXmlReading,
  part: PartReading,
  note: { readonly element: XmlElement; readonly staff: number },
): Pitch | undefined {
  const { element, staff } = note;
  const pitch = childOf(element, "pitch");
  if (pitch) return readPitch(reading, part, { element: pitch, names: PITCH, staff });
  const unpitched = childOf(element, "unpitched");
  if (!unpitched) return undefined;
  const instrument = childOf(element, "instrument")?.attributes["id"] ?? "";
  const key = part.percussionKeys.get(instrument) ?? part.percussionKeys.get("");
  const plain = { soundingPitch: key ?? DEFAULT_PERCUSSION_KEY, step: "", alter: 0, octave: 0 };
  if (key !== undefined || !childOf(unpitched, DISPLAY.step)) return plain;
  return { ...readPitch(reading, part, { element: unpitched, names: DISPLAY, staff }), step: "" };
}

function readPitch(
  reading: MusicXmlReading,
  part: PartReading,
  options: { readonly element: XmlElement; readonly names: typeof PITCH; readonly staff: number },
): Pitch {
  const { element, names, staff } = options;
  const letter = textOf(element, names.step)?.toUpperCase() ?? "";
  const printedAlter = Number(textOf(element, names.alter) ?? 0);
  const printedOctave = Number(textOf(element, names.octave) ?? NaN);
  // A pitch beyond the octaves that MusicXML names is written as the nearest of them, altered by whole octaves.
  const outward = printedOctave === 0
    ? Math.min(0, printedAlter)
    : printedOctave === 9
    ? Math.max(0, printedAlter)
    : 0;
  const whole = Math.abs(outward) > 4 ? Math.round(outward / 12) : 0;
  const beyond = Math.abs(whole) <= MOST_OCTAVES_BEYOND ? whole : 0;
  const [alter, octave] = [printedAlter - 12 * beyond, printedOctave + beyond];
  const fits = Number.isInteger(printedOctave) && printedOctave >= -1 && printedOctave <= 10;
  if (!isStep(letter) || !fits || !(Math.abs(alter) <= 4)) {
    throw refusal(
      reading,
      `a pitch is step "${letter}", alter ${printedAlter}, octave ${printedOctave}`,
      "The step must be A to G, the alteration -4 to 4, the octave -1 to 10",
    );
  }
  const written = { step: letter, alter, octave };
  const interval = transpositionOf(part, staff);
  const isSounding = interval.semitones === 0 && interval.steps === 0;
  const spelling = isSounding ? written : transposeSpelling(written, interval);
  return { ...spelling, soundingPitch: pitchOfSpelling(spelling) };
}
