/** Bar lines: repeat signs, brackets over endings, double bars, and the bar line at the end. */
import type { Bar } from "../../../score/model.ts";
import type { XmlLines } from "./xml_lines.ts";

/** Numbers of the bracket over a bar as the format wants them; undefined where there is none. */
function bracket(bar: Bar | undefined): string | undefined {
  return bar?.repeat?.endings?.join(", ");
}

/** Writes the bar line before a bar, before its attributes, where a repeat or a bracket begins. */
export function writeLeftBarline(xml: XmlLines, bars: readonly Bar[], index: number): void {
  const bar = bars[index]!;
  const number = bracket(bar);
  const begins = number !== undefined && (number !== bracket(bars[index - 1]) || endsRepeat(bars[index - 1]));
  if (!begins && !bar.repeat?.start) return;
  xml.open("barline", { location: "left" });
  if (bar.repeat?.start) xml.leaf("bar-style", "heavy-light");
  if (begins) xml.leaf("ending", undefined, { number, type: "start" });
  if (bar.repeat?.start) xml.leaf("repeat", undefined, { direction: "forward" });
  xml.close();
}

function endsRepeat(bar: Bar | undefined): boolean {
  return bar?.repeat?.times !== undefined;
}

/**
 * Writes the bar line after a bar, where a repeat or a bracket ends, where it is double, and at the end of
 * the piece.
 */
export function writeRightBarline(xml: XmlLines, bars: readonly Bar[], index: number): void {
  const bar = bars[index]!;
  const number = bracket(bar);
  const times = bar.repeat?.times;
  const bracketEnds = number !== undefined && (number !== bracket(bars[index + 1]) || times !== undefined);
  const last = index === bars.length - 1;
  const stops = bar.repeat?.jump !== undefined || bar.repeat?.fine === true;
  const isDouble = stops || bar.doubleBar === true;
  if (!bracketEnds && times === undefined && !last && !isDouble) return;
  xml.open("barline", { location: "right" });
  if (times !== undefined || last) xml.leaf("bar-style", "light-heavy");
  else if (isDouble) xml.leaf("bar-style", "light-light");
  if (bracketEnds) {
    xml.leaf("ending", undefined, { number, type: times === undefined ? "discontinue" : "stop" });
  }
  if (times !== undefined) {
    xml.leaf("repeat", undefined, { direction: "backward", times: times === 2 ? undefined : times });
  }
  xml.close();
}
