/** Bar lines: repeat signs, brackets over endings, double bars, and the bar line at the end. */
import type { Bar } from "../../../score/model.ts";
import { element, type XmlNode } from "./xml_text.ts";

/** Numbers of the bracket over a bar as the format wants them; undefined where there is none. */
function bracket(bar: Bar | undefined): string | undefined {
  return bar?.repeat?.endings?.join(", ");
}

/** The bar line before a bar, where a repeat or a bracket begins. */
export function leftBarline(bars: readonly Bar[], index: number): XmlNode | undefined {
  const [before, bar] = [bars[index - 1], bars[index]!];
  const number = bracket(bar);
  const begins = number !== undefined && (number !== bracket(before) || before?.repeat?.times !== undefined);
  const start = bar.repeat?.start;
  if (!begins && !start) return undefined;
  return element("barline", [
    start && element("bar-style", "heavy-light"),
    begins && element("ending", undefined, { number, type: "start" }),
    start && element("repeat", undefined, { direction: "forward" }),
  ], { location: "left" });
}

/**
 * The bar line after a bar, where a repeat or a bracket ends, where it is double, and at the end of the piece, unless the music
 * goes on after these bars.
 */
export function rightBarline(bars: readonly Bar[], index: number, goesOn = false): XmlNode | undefined {
  const bar = bars[index]!;
  const number = bracket(bar);
  const times = bar.repeat?.times;
  const bracketEnds = number !== undefined && (number !== bracket(bars[index + 1]) || times !== undefined);
  const last = index === bars.length - 1 && !goesOn;
  const isDouble = bar.repeat?.jump !== undefined || bar.repeat?.fine === true || bar.doubleBar === true;
  if (!bracketEnds && times === undefined && !last && !isDouble) return undefined;
  const style = times !== undefined || last ? "light-heavy" : isDouble ? "light-light" : undefined;
  const type = times === undefined ? "discontinue" : "stop";
  return element("barline", [
    style && element("bar-style", style),
    bracketEnds && element("ending", undefined, { number, type }),
    times !== undefined &&
    element("repeat", undefined, { direction: "backward", times: times === 2 ? undefined : times }),
  ], { location: "right" });
}
