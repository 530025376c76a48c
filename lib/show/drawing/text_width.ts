/** How wide text will be, without a browser to measure it in. */

/** Widths in ems of a wide sans serif, so that what fits by this estimate fits in narrower types too. */
const NARROW = 0.38;
const COMMON = 0.63;
const CAPITAL = 0.74;
const WIDE = 0.98;
const FULL = 1.05;
/** Pixels that may be lost when a width is added to and taken from again. */
const ROUNDING = 1e-6;

/** Estimates the width of a line of text in a sans serif type, in pixels, rather too wide than too narrow. */
export function textWidth(text: string, size: number): number {
  let ems = 0;
  for (const letter of text) ems += letterWidth(letter);
  return ems * size;
}

function letterWidth(letter: string): number {
  if (/[ilj.,:;'|!I\s()\[\]ftr]/.test(letter)) return NARROW;
  if (/[mwMW@%—…+<>=]/.test(letter)) return WIDE;
  if (letter.codePointAt(0)! >= 0x2e80) return FULL;
  return /[A-Z&]/.test(letter) ? CAPITAL : COMMON;
}

/**
 * Cuts text to a width in pixels, ending in `…` where something is lost; empty where not even three letters fit.
 */
export function fitText(text: string, size: number, width: number): string {
  if (textWidth(text, size) <= width + ROUNDING) return text;
  const letters = [...text];
  while (letters.length > 2) {
    letters.pop();
    const shorter = `${letters.join("").trimEnd()}…`;
    if (textWidth(shorter, size) <= width + ROUNDING) return shorter;
  }
  return "";
}

/** Breaks text into lines at spaces, but not at those that keep a figure with its unit. */
export function wrapText(text: string, size: number, width: number): readonly string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/[ \t\n]+/)) {
    const longer = line === "" ? word : `${line} ${word}`;
    if (line !== "" && textWidth(longer, size) > width + ROUNDING) {
      lines.push(line);
      line = word;
    } else line = longer;
  }
  return line === "" ? lines : [...lines, line];
}

/** The first of some wordings, the longest first, that fits a width in pixels, or the last one cut. */
export function fittingText(wordings: readonly string[], size: number, width: number): string {
  return wordings.find((w) => textWidth(w, size) <= width) ?? fitText(wordings.at(-1) ?? "", size, width);
}

/** Those of some labels, from left to right, that do not come within four pixels of the one before that is kept. */
export function withRoom<Label>(
  labels: readonly Label[],
  edgesOf: (label: Label) => readonly [left: number, right: number],
): readonly Label[] {
  let taken = -Infinity;
  return labels.filter((label) => {
    const [left, right] = edgesOf(label);
    if (left < taken) return false;
    taken = right + 4;
    return true;
  });
}

/**
 * Moves boxes apart, in the order of their places, so that none lies on another and all lie between two ends; where
 * there is too little room, all are thinner.
 */
export function movedApart(
  boxes: readonly { readonly wanted: number; readonly size: number }[],
  { from, to }: { readonly from: number; readonly to: number },
): readonly number[] {
  const needed = boxes.reduce((sum, box) => sum + box.size, 0);
  const squeeze = Math.min(1, (to - from) / Math.max(1, needed));
  const order = boxes.map((_, i) => i).sort((a, b) => boxes[a]!.wanted - boxes[b]!.wanted);
  const places = boxes.map((box) => box.wanted);
  let free = from;
  for (const i of order) {
    places[i] = Math.max(places[i]!, free);
    free = places[i]! + boxes[i]!.size * squeeze;
  }
  let limit = to;
  for (const i of order.toReversed()) {
    limit = places[i] = Math.min(places[i]!, limit - boxes[i]!.size * squeeze);
  }
  return places;
}
