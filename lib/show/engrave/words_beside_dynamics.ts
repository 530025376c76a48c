/** Words that the engraver draws onto a dynamic mark, as in `f cresc.`, moved beside it. */
import type { EngravedNode } from "./engraved_system.ts";

/** Height of the space between two lines of a stave in the engraver's finer units. */
const SPACE = 180;
/** Widths of dynamic marks in spaces, by the code of their sign; others are as wide as most. Measured in drawings. */
const WIDTHS: Readonly<Record<string, number>> = {
  ...{ E520: 1.3, E522: 1.3, E52A: 3.4, E52B: 2.4, E52C: 2.8, E52D: 2.7, E52F: 2.2, E530: 3, E529: 4.4 },
};
const USUAL_WIDTH = 2.4;
/** How near they have to be to lie on each other, across and up and down, in spaces. */
const [ACROSS, UP_AND_DOWN] = [1, 1.5];

/** A dynamic mark in the engraver's finer units: where it stands, and where words may follow. */
interface DrawnMark {
  readonly x: number;
  readonly y: number;
  readonly end: number;
}

/** Where words are to begin that lie on a mark of their bar, by the text that they are. */
export function wordsBesideDynamics(bars: readonly EngravedNode[]): ReadonlyMap<EngravedNode, number> {
  const moved = new Map<EngravedNode, number>();
  for (const bar of bars) {
    const marks = [...bar.querySelectorAll("g.dynam > use")].flatMap(markOf);
    for (const text of bar.querySelectorAll("g.dir > text, g.dynam > text")) {
      const [x, y] = [Number(text.getAttribute("x")), Number(text.getAttribute("y"))];
      const under = marks.filter((m) =>
        Math.abs(m.x - x) < ACROSS * SPACE && Math.abs(m.y - y) < UP_AND_DOWN * SPACE
      );
      if (under.length > 0) moved.set(text, Math.max(...under.map((m) => m.end)));
    }
  }
  return moved;
}

/** The mark of a glyph. */
function markOf(use: EngravedNode): readonly DrawnMark[] {
  const place = /translate\((-?[\d.]+),\s*(-?[\d.]+)\)/.exec(use.getAttribute("transform") ?? "");
  const code = /#(\w+)/.exec(use.getAttribute("href") ?? use.getAttribute("xlink:href") ?? "")?.[1] ?? "";
  if (!place) return [];
  const [x, y] = [Number(place[1]), Number(place[2])];
  return [{ x, y, end: x + ((WIDTHS[code] ?? USUAL_WIDTH) + 0.5) * SPACE }];
}
