/** The notes of a part on the range chart: how often each pitch is played. */
import { cannotDraw } from "../drawing/chart_options.ts";
import * as Plot from "@observablehq/plot";
import type { Instrument, PitchRange } from "../../instruments/catalogue.ts";
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
import { severityMark } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { noteName } from "../drawing/note_name.ts";
import { type PitchCount, type RangeLayout, shiftOf, stretchesOf } from "./range_layout.ts";
import { h, svgText } from "../drawing/svg.ts";
import { fittingText, textWidth } from "../drawing/text_width.ts";
import { hue, severityColour } from "../drawing/theme.ts";
import { counted } from "../drawing/words.ts";

/** Left end of the instruments' names, in pixels. */
const NAME_LEFT = 12;
export const NOTES_COLOUR = hue("navy");

/** How often a part plays each pitch, from the lowest up; refuses a part the score does not have. */
export function pitchCounts(score: Score, part: number): readonly PitchCount[] {
  if (score.parts?.[part] === undefined) {
    throw cannotDraw(
      "range chart",
      `the score has no part ${part}`,
      "Give notesOf a score, and the index of a part from 0",
    );
  }
  const own = soundingNotes(score).filter((n) => n.part === part && !n.unpitched);
  return [...Map.groupBy(own, (n) => Math.round(n.soundingPitch))]
    .map(([pitch, list]) => ({ pitch, count: list.length }))
    .sort((a, b) => a.pitch - b.pitch);
}

interface NoteBar extends PitchCount {
  /** Place on the axis: the pitch as it is written there. */
  readonly x: number;
  /** Foot of the bar and its height, in pixels. */
  readonly foot: number;
  readonly tall: number;
  readonly kind: "easy" | "hard" | "missing";
}

/** Bars below the rows: how often each pitch is played; what the instrument does not have is crossed. */
export function notesMarks(list: readonly Instrument[], layout: RangeLayout): readonly Plot.Markish[] {
  const { notes, shapeHeight, notesHeight, written, rowHeight } = layout;
  const most = Math.max(1, ...notes.map((n) => n.count));
  const room = notesHeight - 5;
  const within = ({ low, high }: PitchRange, pitch: number) => pitch >= low && pitch <= high;
  const bars = list.flatMap((instrument, i) =>
    instrument.unpitched ? [] : notes.map((note): NoteBar => ({
      ...note,
      x: note.pitch - shiftOf(instrument, written),
      foot: i * rowHeight + 7 + shapeHeight + room,
      tall: Math.max(2, note.count / most * room),
      kind: !within(instrument.rangeExtreme, note.pitch)
        ? "missing"
        : within(instrument.rangeComfortable, note.pitch)
        ? "easy"
        : "hard",
    }))
  );
  const crosses = bars.filter((b) => b.kind === "missing")
    .map((b) => ({ severity: "impossible" as const, x: b.x + 0.5, y: b.foot - room / 2 }));
  return [
    ...(["easy", "hard", "missing"] as const).map((kind) => {
      const stroke = kind === "missing" ? severityColour("impossible") : NOTES_COLOUR;
      return Plot.rect(bars.filter((b) => b.kind === kind), {
        x1: (b: NoteBar) => b.x + 0.16,
        x2: (b: NoteBar) => b.x + 0.84,
        y1: (b: NoteBar) => b.foot - b.tall,
        y2: "foot",
        fill: kind === "easy" ? stroke : "none",
        stroke,
        title: (b: NoteBar) => `${noteName(b.x)}, played ${counted(b.count, "time")}${HOW[kind]}`,
        ...namedMark(`pitches-${kind}`),
      });
    }),
    severityMark(crosses, { name: "crosses" }),
  ];
}

const HOW = {
  easy: "",
  hard: ", beyond where it is at ease",
  missing: ": the instrument does not have it",
} as const;

/** Words below a row for the notes that the instrument does not have. */
export function outsideWords(instrument: Instrument, layout: RangeLayout): readonly SVGElement[] {
  const { notes, xOf, semitone, shapeHeight, notesHeight, written } = layout;
  const shift = shiftOf(instrument, written);
  const { rangeExtreme } = instrument;
  const top = 4 + shapeHeight + 3;
  const room = notesHeight - 5;
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
      "g",
      { class: "outside", "font-weight": 600 },
      svgText({
        text,
        x: isLow ? left + wide : left,
        anchor: isLow ? "end" : "start",
        y: isBeside ? top + room - 2 : usual,
        size: 10,
        halo: true,
      }),
    )];
  };
  return [...outside("too low"), ...outside("too high")];
}
