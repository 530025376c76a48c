/**
 * A picture as a snapshot keeps it: one element a line, numbers to whole pixels, ids numbered in the order in which
 * they appear, so that only what a reader would see makes a difference.
 */
export function normalised(svg: string): string {
  const ids = new Map<string, string>();
  const numbered = (id: string) => {
    if (!ids.has(id)) ids.set(id, `id-${ids.size + 1}`);
    return ids.get(id)!;
  };
  return svg
    .replace(/(id="|url\(#)([^")]+)/g, (_, before: string, id: string) => before + numbered(id))
    .replace(/-?\d+\.\d+/g, (number) => String(Math.round(Number(number))))
    .replaceAll("><", ">\n<");
}

/** How many elements a group with this class holds: the marks that were drawn. */
export function drawn(chart: Element, name: string): number {
  return [...chart.querySelectorAll(`.${name}`)].reduce((sum, group) => sum + group.childNodes.length, 0);
}

/** All texts in a chart, lines joined by spaces, without what pops up over them. */
export function words(chart: Element): readonly string[] {
  return [...chart.querySelectorAll("text")].map((text) =>
    [...text.childNodes].filter((n) => n.nodeName.toLowerCase() !== "title").map((n) => n.textContent).join(
      " ",
    )
  );
}
