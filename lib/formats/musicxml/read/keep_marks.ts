/** Marks that stand both on notes and in directions: dynamics, pauses, words. */
import { joinDynamic } from "../../assemble/direction_words.ts";
import type { RawPlace, RawStavePlace } from "../../assemble/raw_score.ts";
import { durationTicks, type MusicXmlReading, notice, type PartReading } from "./musicxml_reading.ts";
import { numberOf, type XmlElement } from "./xml_elements.ts";

/** Adds the dynamic mark of a `<dynamics>`. */
export function addDynamic(
  reading: MusicXmlReading,
  part: PartReading,
  { dynamics, place }: { readonly dynamics: XmlElement; readonly place: RawStavePlace },
): void {
  const pieces = dynamics.children.map((c) => c.name === "other-dynamics" ? c.text : c.name);
  const mark = dynamics.children.length === 1 && dynamics.children[0]!.name !== "other-dynamics"
    ? pieces[0]
    : joinDynamic(pieces);
  if (mark === undefined) {
    notice(reading, `dynamic "${pieces.join(" ").trim()}": not used`);
    keepWords(part, pieces.join(" "), { ...place, below: true });
    return;
  }
  const printed = pieces.map((p) => p.trim()).filter((p) => p !== "");
  const more = printed.length === 1 && printed[0] === mark ? {} : { pieces: printed };
  part.raw.marks.push({ kind: "dynamic", mark, ...more, ...place });
}

/** Keeps words as printed. */
export function keepWords(
  part: PartReading,
  text: string,
  place: RawStavePlace & { readonly below: boolean },
): void {
  const { barIndex, offsetTicks, staff, below } = place;
  const words = oneLine(text);
  if (words === "") return;
  part.raw.notation!.words.push({ barIndex, offsetTicks, staff, words, ...(below ? { below } : {}) });
}

/** Text with a space for every run of white space, and none around it. */
export function oneLine(text: string | undefined): string {
  return (text ?? "").replace(/\s+/g, " ").trim();
}

/** A fermata over a note or rest. */
export function addPause(
  reading: MusicXmlReading,
  part: PartReading,
  over: RawPlace & { readonly durationTicks: number; readonly staff: number },
): void {
  const { barIndex, offsetTicks, durationTicks: lengthTicks, staff } = over;
  part.raw.notation!.pauses.push({ barIndex, offsetTicks, lengthTicks, staff });
  reading.score.bends.push({ barIndex, offsetTicks, kind: "pause", words: "", lengthTicks });
  notice(reading, "pause: kept; the tempo stays steady unless pauses are asked for");
}

/** Where a direction or chord symbol stands, from the start of the bar and not before it. */
export function offsetTicksOf(reading: MusicXmlReading, part: PartReading, element: XmlElement): number {
  const offset = numberOf(element, "offset");
  if (offset === undefined || offset === 0) return part.cursor;
  const ticks = durationTicks(reading, part, String(Math.abs(offset)));
  return Math.max(0, part.cursor + (offset < 0 ? -ticks : ticks));
}
