/** `<barline>` of MusicXML: repeats, brackets over endings, double bars. */
import { endingNumbers, timesOf } from "../../assemble/repeat_signs.ts";
import { addRepeat, type MusicXmlReading, notice, type PartReading } from "./musicxml_reading.ts";
import { childOf, textOf, type XmlElement } from "./xml_elements.ts";

/** Reads what stands at a bar line. */
export function readBarline(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  const ending = childOf(element, "ending");
  if (ending) {
    const numbers = endingNumbers(ending.attributes["number"] ?? "");
    const begins = ending.attributes["type"] === "start" && numbers.length > 0;
    part.endings = begins ? numbers : undefined;
    if (begins) addRepeat(reading, part, { endings: numbers });
  }
  const { direction, times } = childOf(element, "repeat")?.attributes ?? {};
  if (direction === "forward") addRepeat(reading, part, { start: true });
  else if (direction === "backward") addRepeat(reading, part, { times: timesOf(times) });
  if (childOf(element, "segno")) addRepeat(reading, part, { segno: true });
  if (childOf(element, "coda")) addRepeat(reading, part, { codaSign: true });
  readDoubleBar(reading, part, element);
  if (childOf(element, "fermata")) notice(reading, "pause over a bar line: not used");
}

/** Bar lines of two strokes: where a section ends. */
const DOUBLE_LINES: ReadonlySet<string> = new Set([
  "light-light",
  "light-heavy",
  "heavy-light",
  "heavy-heavy",
]);

/** A double bar line at the right of a bar, or at the left of the next. */
function readDoubleBar(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  if (!DOUBLE_LINES.has(textOf(element, "bar-style") ?? "")) return;
  const { location } = element.attributes;
  if (location === "middle" || childOf(element, "repeat")?.attributes.direction === "forward") return;
  const bar = reading.score.bars[location === "left" ? part.barIndex - 1 : part.barIndex];
  if (bar) bar.doubleBar = true;
}
