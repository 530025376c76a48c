/** The notes of a part on the range chart: how often each pitch is played. */
import { InputError } from "../../base/errors.ts";
import type { Instrument, PitchRange } from "../../instruments/catalogue.ts";
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
import { severityShape } from "../drawing/frame.ts";
import { noteName } from "../drawing/note_name.ts";
import { type PitchCount, type RangeLayout, shiftOf, stretchesOf } from "./range_layout.ts";
import { h, svgText } from "../drawing/svg.ts";
import { fittingText, textWidth } from "../drawing/text_width.ts";
import { SEVERITY_LOOKS } from "../drawing/theme.ts";
import { counted } from "../drawing/words.ts";

/** Left end of the instruments' names, in pixels. */
const NAME_LEFT = 12;
/** Colour of what is played. */
export const NOTES_COLOUR = "#262b57";

/**
 * How often a part plays each pitch.
 *
 * @param score the score
 * @param part index of the part
 * @returns counts from the lowest pitch up
 * @throws {InputError} when the score has no such part
 */
export function pitchCounts(score: Score, part: number): readonly PitchCount[] {
  if (score.parts?.[part] === undefined) {
    throw new InputError({
      action: "draw the range chart",
      problem: `the score has no part ${part}`,
      remedy: "Give notesOf a score, and the index of a part from 0",
    });
  }
  const own = soundingNotes(score).filter((n) => n.part === part && !n.unpitched);
  return [...Map.groupBy(own, (n) => Math.round(n.soundingPitch))]
    .map(([pitch, list]) => ({ pitch, count: list.length }))
    .sort((a, b) => a.pitch - b.pitch);
}

/**
 * Bars below a row: how often each pitch is played; what the instrument does not have is crossed and counted.
 *
 * @param instrument the instrument of the row
 * @param layout where everything stands
 * @returns elements
 */
export function notesElements(instrument: Instrument, layout: RangeLayout): readonly SVGElement[] {
  const { document, notes, xOf, semitone, shapeHeight, notesHeight, written } = layout;
  if (notes.length === 0) return [];
  const shift = shiftOf(instrument, written);
  const { rangeExtreme, rangeComfortable } = instrument;
  const within = ({ low, high }: PitchRange, pitch: number) => pitch >= low && pitch <= high;
  const most = Math.max(...notes.map((n) => n.count));
  const top = 4 + shapeHeight + 3;
  const room = notesHeight - 5;
  const bars = notes.map(({ pitch, count }) => {
    const has = within(rangeExtreme, pitch);
    const easy = within(rangeComfortable, pitch);
    const tall = Math.max(2, count / most * room);
    const x = xOf(pitch - shift);
    const title = h(
      document,
      "title",
      {},
      `${noteName(pitch - shift)}, played ${counted(count, "time")}${
        has ? easy ? "" : ", beyond where it is at ease" : ": the instrument does not have it"
      }`,
    );
    const colour = has ? NOTES_COLOUR : SEVERITY_LOOKS.impossible.colour;
    const bar = h(document, "rect", {
      x: x + semitone * 0.16,
      y: top + room - tall,
      width: semitone * 0.68,
      height: tall,
      fill: easy ? colour : "none",
      stroke: colour,
      "stroke-width": 1,
    }, title);
    return h(
      document,
      "g",
      { class: `pitch ${has ? easy ? "easy" : "hard" : "missing"}` },
      ...(has
        ? [bar]
        : [bar, severityShape(document, "impossible", { x: x + semitone / 2, y: top + room / 2 })]),
    );
  });
  const outside = (where: "too low" | "too high") => {
    const isLow = where === "too low";
    const own = notes.filter(({ pitch }) => isLow ? pitch < rangeExtreme.low : pitch > rangeExtreme.high);
    const first = own[0];
    const last = own.at(-1);
    if (first === undefined || last === undefined) return [];
    const span = first === last
      ? noteName(first.pitch - shift)
      : `${noteName(first.pitch - shift)} to ${noteName(last.pitch - shift)}`;
    const count = own.reduce((sum, n) => sum + n.count, 0);
    const highest = stretchesOf(instrument).at(-1);
    const edge = isLow ? xOf(rangeExtreme.low - shift) - 6 : Math.max(
      xOf(rangeExtreme.high + 1 - shift),
      layout.detail === "shapes" || highest === undefined
        ? 0
        : xOf(highest.low - shift) + textWidth(highest.name, 10) + 4,
    ) + 6;
    // Below the instrument's name there is room, where the row is high enough for it.
    const leftEnd = layout.detail === "full" ? NAME_LEFT : layout.left + 2;
    const beside = isLow ? edge - leftEnd : layout.right - edge;
    const text = fittingText(
      [`${counted(count, "note")} ${where}: ${span}`, `${count} ${where}: ${span}`, `${count} ${where}`],
      10,
      Math.max(beside, layout.detail === "shapes" ? 0 : textWidth(`${count} ${where}`, 10)),
    );
    const wide = textWidth(text, 10);
    const usual = layout.detail === "shapes" ? top + 1 : top + room + 13;
    // Where names leave too little room, the words stand beside the crosses instead.
    const isBeside = !isLow && wide > beside && layout.detail !== "shapes";
    const left = isBeside
      ? Math.min(xOf(last.pitch - shift) + semitone + 8, layout.right + 6 - wide)
      : Math.min(
        Math.max(isLow ? edge - wide : edge, leftEnd),
        layout.right - wide,
      );
    return [h(
      document,
      "g",
      { class: "outside", "font-weight": 600 },
      svgText(document, {
        text,
        x: isLow ? left + wide : left,
        anchor: isLow ? "end" : "start",
        y: isBeside ? top + room - 2 : usual,
        size: 10,
        halo: true,
      }),
    )];
  };
  return [
    ...bars,
    ...outside("too low"),
    ...outside("too high"),
  ];
}
