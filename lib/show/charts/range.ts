import * as Plot from "@observablehq/plot";
import { A_PART_OF_SCORE } from "../../base/arguments.ts";
import type { Instrument, PitchRange } from "../../instruments/catalogue.ts";
import type { Score } from "../../score/model.ts";
import { hzOf } from "../../base/units.ts";
import { askedInstruments, type InstrumentsAsked } from "../drawing/asked_instruments.ts";
import { cannotDraw, type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartFrame, type FrameBlock, type LegendEntry } from "../drawing/frame.ts";
import { instrumentAsPrinted, noteName } from "../drawing/note_name.ts";
import {
  DYNAMIC_STEPS,
  dynamicsInWords,
  type RangeDetail,
  type RangeLayout,
  type RegisterStretch,
  shiftOf,
  stretchesOf,
} from "../panels/range_layout.ts";
import { NOTES_COLOUR, notesMarks, outsideWords, pitchCounts } from "../panels/range_notes.ts";
import type { PitchCount } from "../panels/range_layout.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { plotBlock } from "../drawing/plot_block.ts";
import { headWords } from "../drawing/plot_texts.ts";
import { hatch, outlined } from "../drawing/signs.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth, wrapText } from "../drawing/text_width.ts";
import { counted } from "../drawing/words.ts";
import { rangeTitle } from "../titles/instrument_titles.ts";

/** Options of {@linkcode rangeChart}. */
export interface RangeChartOptions extends ChartOptions {
  /** Pitch on the axis: as it sounds, the default, or as each player reads it. */
  readonly pitch?: "sounding" | "written";
  /** A part of a score whose notes are drawn on every instrument: how often each pitch is played. */
  readonly notesOf?: {
    /** The score. */
    readonly score: Score;
    /** Index of the part in `score.parts`. */
    readonly part: number;
  };
}

const NAME = "range";
const SIDE = 12;
const RIGHT = 18;
const MOST = 40;
const EASY = "#a9d3cc";
const EDGE = "#2f6a66";
const PALE = "#f2f8f6";
/** Ink on these, whatever paper is around them. */
const ON_SHAPE = "#1d1e24";
/** The texture of what is reached with care. */
const BEYOND = "ripieno-range-beyond";
const CHARACTER_SIZE = 9.5;
const CHARACTER_LINE = 11;
/** Names at the left so wide leave room for the marks of the dynamics beside them, in pixels. */
const MARKS_FROM = 150;

/**
 * What instruments reach: one row each, the registers side by side along the pitch. The height of a register says how
 * soft and how loud it can be played (ppp at the foot, fff at the top), full colour where the player is at ease,
 * hatched where the range goes on. With a part of a score, bars below each row say how often its pitches are played:
 * full where the player is at ease, hollow beyond, a cross and words for notes that the instrument does not have.
 *
 * @param instruments instruments or their ids, 1 to 40
 * @param options sounding or written pitch, a part of a score, width, height, title
 * @returns the chart
 * @throws {InputError} when there is no instrument, an id is unknown, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { chartSvg, rangeChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * assertStringIncludes(chartSvg(rangeChart(["flute", "clarinet in Bb"])), "chalumeau");
 * ```
 */
export function rangeChart(instruments: InstrumentsAsked, options: RangeChartOptions = {}): Chart {
  const { width, height, pitch = "sounding", notesOf, ...others } = checkedOptions("range chart", options, {
    pitch: undefined,
    notesOf: A_PART_OF_SCORE,
  });
  const list = askedInstruments("range chart", instruments, MOST);
  checkPitch(pitch);
  const notes = notesOf === undefined ? [] : pitchCounts(notesOf.score, notesOf.part);
  const written = pitch === "written";
  const partName = notesOf?.score.parts[notesOf.part]?.name;
  const title = others.title ?? rangeTitle(list, { notes, written, partName });
  const shown = list.filter((i) => !i.unpitched);
  const reach = shown.flatMap((i) =>
    [i.rangeExtreme.low, i.rangeExtreme.high, ...notes.map((n) => n.pitch)]
      .map((p) => p - shiftOf(i, written))
  );
  const middle = reach.length === 0 ? 60 : (Math.min(...reach) + Math.max(...reach)) / 2;
  const low = Math.floor(Math.min(middle - 10, ...reach)) - 1;
  const high = Math.ceil(Math.max(middle + 10, ...reach)) + 1;
  const notesHeight = notes.length === 0 ? 0 : list.length > 9 ? 18 : 26;
  const rowHeight = height === undefined ? usualRow(list.length) + notesHeight : height / list.length;
  const detail = detailOf(rowHeight - notesHeight);
  const longest = Math.max(...list.map((i) => textWidth(instrumentAsPrinted(i.id), 12)));
  const left = Math.min(width * 0.34, Math.max(detail === "full" ? 158 : 96, longest + SIDE + 30));
  const semitone = (width - left - RIGHT) / (high - low);
  const plain: RangeLayout = {
    width,
    left,
    right: width - RIGHT,
    semitone,
    xOf: (p) => left + (p - low) * semitone,
    detail,
    rowHeight,
    shapeHeight: Math.max(8, rowHeight - notesHeight - { full: 48, names: 22, shapes: 8 }[detail]),
    characterLines: 2,
    notesHeight,
    written,
    notes,
  };
  const isWordy = height === undefined && detail === "full" && list.some((i) => isLong(i, plain));
  const layout = isWordy ? { ...plain, characterLines: 3, rowHeight: rowHeight + CHARACTER_LINE } : plain;
  const body = height ?? list.length * layout.rowHeight;
  const octaves = Array.from({ length: 12 }, (_, i) => i * 12).filter((p) => p >= low && p < high);
  return chartFrame({
    name: NAME,
    width,
    title,
    note: noteOf(layout, notesOf),
    label: `Range and registers of ${list.map((i) => instrumentAsPrinted(i.id)).join(", ")}, ${pitch} pitch${
      notesOf === undefined ? "" : `, with the notes of ${partName}`
    }`,
    legend: legend(notes),
    blocks: [
      rowsBlock(list, { ...layout, body, octaves, ends: [low, high] }),
      pitchAxis(layout, octaves, [low, high]),
    ],
  });
}

function checkPitch(pitch: unknown): void {
  if (pitch === "sounding" || pitch === "written") return;
  throw cannotDraw("range chart", `pitch is ${JSON.stringify(pitch)}`, `Use "sounding" or "written"`);
}

function usualRow(rows: number): number {
  return rows <= 9 ? 84 : rows <= 18 ? 48 : 31;
}

function detailOf(rowHeight: number): RangeDetail {
  return rowHeight >= 72 ? "full" : rowHeight >= 40 ? "names" : "shapes";
}

interface Rows extends RangeLayout {
  readonly body: number;
  readonly octaves: readonly number[];
  readonly ends: readonly [number, number];
}

/** The rows: registers and notes as rectangles; what is said beside them hangs on the room there, so it is set by hand. */
function rowsBlock(list: readonly Instrument[], layout: Rows): FrameBlock {
  const { width, left, rowHeight, body, octaves, ends } = layout;
  const boxes = list.flatMap((instrument, i) =>
    instrument.unpitched
      ? []
      : stretchesOf(instrument).map((s) => boxOf(s, instrument, { layout, top: i * rowHeight }))
  );
  const box = { x1: "from", x2: "to", y1: "y1", y2: "y2" } as const;
  return plotBlock({
    label: "instruments",
    width,
    height: body,
    marginLeft: left,
    marginRight: RIGHT,
    x: { domain: ends },
    y: { domain: [body, 0] },
    marks: [
      () => hatch({ id: BEYOND, ground: PALE, ink: EASY, lineWidth: 1.1 }),
      Plot.ruleX(octaves, { x: (p: number) => p + 0.5, strokeOpacity: 0.14 }),
      Plot.ruleY(list, { y: (_, i) => (i + 1) * rowHeight, insetLeft: SIDE - left, strokeOpacity: 0.12 }),
      Plot.rect(boxes, { ...box, fill: `url(#${BEYOND})`, ...namedMark("beyond") }),
      Plot.rect(boxes.filter((b) => b.easy.to > b.easy.from), {
        ...box,
        x1: (b: Box) => b.easy.from,
        x2: (b: Box) => b.easy.to,
        fill: EASY,
        ...namedMark("at-ease"),
      }),
      Plot.rect(boxes, {
        ...box,
        insetLeft: 0.5,
        insetRight: 0.5,
        fill: "none",
        stroke: EDGE,
        pointerEvents: "all",
        title: "title",
        ...namedMark("registers"),
      }),
      ...notesMarks(list, layout),
      () => h("g", {}, ...list.map((instrument, i) => rowWords(instrument, i * rowHeight, layout))),
    ],
  });
}

/** A register as it is drawn: pitches across, pixels down. */
interface Box {
  readonly from: number;
  readonly to: number;
  readonly y1: number;
  readonly y2: number;
  /** Where the player is at ease; empty where it ends before it begins. */
  readonly easy: { readonly from: number; readonly to: number };
  readonly title: string;
}

function boxOf(
  stretch: RegisterStretch,
  instrument: Instrument,
  { layout, top }: { readonly layout: RangeLayout; readonly top: number },
): Box {
  const shift = shiftOf(instrument, layout.written);
  const { low, high } = instrument.rangeComfortable;
  const [y1, y2] = edgesOf(stretch, layout);
  return {
    from: stretch.low - shift,
    to: stretch.high - shift + 1,
    y1: top + y1,
    y2: top + y2,
    easy: { from: Math.max(low, stretch.low) - shift, to: Math.min(high, stretch.high) - shift + 1 },
    title: `${instrumentAsPrinted(instrument.id)}, ${stretch.name || "rest of the range"}, ` +
      `${noteName(stretch.low - shift)} to ${noteName(stretch.high - shift)}` +
      (stretch.name === "" ? "" : `: ${stretch.character}; ${dynamicsInWords(stretch)}`),
  };
}

/** Upper and lower edge of a register in its row, by its dynamics, in pixels. */
function edgesOf(
  { softest, loudest }: RegisterStretch,
  { shapeHeight }: RangeLayout,
): readonly [number, number] {
  return [
    4 + (1 - loudest / DYNAMIC_STEPS) * shapeHeight,
    4 + (1 - (softest - 1) / DYNAMIC_STEPS) * shapeHeight,
  ];
}

function rowWords(instrument: Instrument, top: number, layout: RangeLayout): SVGElement {
  const { detail, left, shapeHeight } = layout;
  return h(
    "g",
    { class: "instrument", transform: `translate(0,${top})`, "text-anchor": "start" },
    ...nameOf(instrument, layout),
    ...(instrument.unpitched
      ? [
        svgText({
          text: "no definite pitch",
          x: left + 8,
          y: detail === "full" ? 17 : shapeHeight / 2 + 8,
          opacity: 0.7,
        }),
      ]
      : [
        ...stretchesOf(instrument).flatMap((s) => stretchWords(s, instrument, layout)),
        ...outsideWords(instrument, layout),
      ]),
  );
}

/** The instrument's name; where there is room, what it reaches and where it is at ease. */
function nameOf(instrument: Instrument, layout: RangeLayout): readonly SVGElement[] {
  const { detail, left, rowHeight, shapeHeight, written } = layout;
  const full = detail === "full";
  const hasMarks = full && left >= MARKS_FROM;
  const room = left - SIDE - (hasMarks ? 30 : 6);
  const printed = instrumentAsPrinted(instrument.id);
  const size = [12, 11, 10].find((s) => textWidth(printed, s) <= room) ?? 10;
  const name = svgText({
    text: fitText(printed, size, room),
    x: SIDE,
    y: full ? 17 : Math.min(rowHeight / 2, shapeHeight / 2 + 4) + 4,
    size,
    weight: 600,
    title: printed,
  });
  if (!full || instrument.unpitched) return [name];
  const shift = shiftOf(instrument, written);
  const span = ({ low, high }: PitchRange) => `${noteName(low - shift)} to ${noteName(high - shift)}`;
  const lines = [
    span(instrument.rangeExtreme),
    `at ease ${span(instrument.rangeComfortable)}`,
    ...(written ? [soundsInWords(instrument.transposeSemitones)] : []),
  ].flatMap((text) => wrapText(text, 10, left - SIDE));
  return [
    name,
    ...lines.map((text, i) => svgText({ text, x: SIDE, y: 33 + i * 14, size: 10, opacity: 0.8 })),
    ...(hasMarks ? [["fff", 11], ["ppp", shapeHeight + 4]] : []).map(([text, y]) =>
      svgText({ text: String(text), x: left - 4, y: Number(y), size: 9, anchor: "end", opacity: 0.72 })
    ),
  ];
}

function soundsInWords(semitones: number): string {
  if (semitones === 0) return "sounds as written";
  return `sounds ${counted(Math.abs(semitones), "semitone")} ${semitones > 0 ? "higher" : "lower"}`;
}

/** Room for words below a register; those of the highest go on to the right end. */
function wordsRoom(
  stretch: RegisterStretch,
  instrument: Instrument,
  { xOf, semitone, right, written }: RangeLayout,
): number {
  const shift = shiftOf(instrument, written);
  const isLast = stretch.high === stretchesOf(instrument).at(-1)?.high;
  return (isLast ? right : xOf(stretch.high - shift) + semitone) - xOf(stretch.low - shift) - 3;
}

/** Whether the character of a register needs three lines, and has room for its words. */
function isLong(instrument: Instrument, layout: RangeLayout): boolean {
  return !instrument.unpitched && stretchesOf(instrument).some((stretch) => {
    const room = wordsRoom(stretch, instrument, layout);
    const lines = wrapText(stretch.character, CHARACTER_SIZE, room);
    return lines.length > 2 && lines.every((line) => textWidth(line, CHARACTER_SIZE) <= room * 1.1);
  });
}

/** What is said in a register's shape, and, where there is room, its name and character below it. */
function stretchWords(
  stretch: RegisterStretch,
  instrument: Instrument,
  layout: RangeLayout,
): readonly SVGElement[] {
  const { xOf, detail } = layout;
  const box = boxOf(stretch, instrument, { layout, top: 0 });
  const below = { x: xOf(box.from) + 2, room: wordsRoom(stretch, instrument, layout) };
  const words = [
    ...insideWords(stretch, box, layout),
    ...(detail === "shapes" ? [] : [registerName(stretch, below, layout)]),
    ...(detail === "full" ? characterWords(stretch, below, layout) : []),
  ];
  return words.filter((w) => w.textContent !== "");
}

/** The dynamics of a register in its shape, or below it where that is thin; in small charts its name. */
function insideWords(
  stretch: RegisterStretch,
  { from, to, y1, y2, easy }: Box,
  { detail, xOf }: RangeLayout,
): readonly SVGElement[] {
  const text = detail === "shapes" ? stretch.name : dynamicsInWords(stretch);
  const [left, right] = [xOf(from), xOf(to)];
  if (stretch.name === "" || textWidth(text, 9) * 0.9 + 4 > right - left) return [];
  const middle = (from + to) / 2;
  const isBelow = y2 - y1 < 11 && detail !== "shapes";
  const rim = {
    fill: ON_SHAPE,
    stroke: easy.from <= middle && easy.to >= middle ? EASY : PALE,
    "stroke-width": 3,
    "stroke-linejoin": "round",
    "paint-order": "stroke",
  };
  const y = isBelow ? y2 + 10 : (y1 + y2) / 2 + 3;
  return [h("g", isBelow ? {} : rim, svgText({ text, x: (left + right) / 2, y, size: 9, anchor: "middle" }))];
}

/** Where words below a register begin, and their room, in pixels. */
interface WordsPlace {
  readonly x: number;
  readonly room: number;
}

function registerName(
  { name }: RegisterStretch,
  { x, room }: WordsPlace,
  { shapeHeight, notesHeight }: RangeLayout,
): SVGElement {
  const y = 4 + shapeHeight + notesHeight + 11;
  return textWidth(name, 10) * 1.08 <= room
    ? svgText({ text: name, x, y, size: 10, weight: 600 })
    : svgText({ text: fitText(name, 9, room + 1), x, y, size: 9, weight: 400 });
}

/** The character of a register in as many lines as it may have; none where its words are too long for them. */
function characterWords(
  { character }: RegisterStretch,
  { x, room }: WordsPlace,
  { shapeHeight, notesHeight, characterLines }: RangeLayout,
): readonly SVGElement[] {
  const lines = wrapText(character, CHARACTER_SIZE, room);
  const cut = lines.length <= characterLines ? lines : [
    ...lines.slice(0, characterLines - 1),
    fitText(`${lines[characterLines - 1] ?? ""} …`, CHARACTER_SIZE, room),
  ];
  if (cut.some((line) => textWidth(line, CHARACTER_SIZE) > room * 1.1)) return [];
  const top = 4 + shapeHeight + notesHeight + 23;
  return cut.map((text, i) =>
    svgText({ text, x, y: top + i * CHARACTER_LINE, size: CHARACTER_SIZE, opacity: 0.8 })
  );
}

/** Note names below the rows, and frequencies where the pitch is the sounding one. */
function pitchAxis(
  { left, width, semitone, written }: RangeLayout,
  octaves: readonly number[],
  ends: readonly [number, number],
): FrameBlock {
  const names = (semitone * 12 >= 110 ? octaves.flatMap((p) => [p, p + 5, p + 9]) : octaves)
    .filter((p) => p + 1 <= ends[1]);
  const height = written ? 24 : 36;
  const place = { x: (p: number) => p + 0.5, frameAnchor: "top", lineAnchor: "bottom" } as const;
  const octave = { ...place, text: noteName, dy: 19 };
  const before = { dx: -8, anchor: "end" } as const;
  return plotBlock({
    label: "pitches",
    width,
    height,
    marginLeft: left,
    marginRight: RIGHT,
    x: { domain: ends },
    y: { domain: [height, 0] },
    marks: [
      Plot.ruleY([0.5], { strokeOpacity: 0.6 }),
      Plot.ruleX(names, { x: place.x, y1: 0, y2: (p: number) => p % 12 === 0 ? 6 : 4, strokeOpacity: 0.6 }),
      Plot.text(names.filter((p) => p % 12 === 0), octave),
      Plot.text(names.filter((p) => p % 12 !== 0), { ...octave, fontSize: 10, fillOpacity: 0.7 }),
      Plot.text(written ? [] : names.filter((p) => p % 12 === 0), {
        ...place,
        text: (p: number) => String(Math.round(hzOf(p))),
        dy: 32,
        fontSize: 10,
        fillOpacity: 0.62,
      }),
      headWords(written ? "written pitch" : "sounding pitch", { ...before, dy: 17 }),
      headWords(written ? "" : "Hz", { ...before, dy: 30, size: 10, opacity: 0.72 }),
    ],
  });
}

function noteOf({ notes }: RangeLayout, notesOf: RangeChartOptions["notesOf"]): string {
  const shape =
    "The height of a register is its loudness: from the softest that speaks safely to the loudest.";
  if (notesOf === undefined) return shape;
  const name = notesOf.score.parts[notesOf.part]?.name ?? "";
  const top = notes.reduce<PitchCount>((a, b) => b.count > a.count ? b : a, { pitch: 0, count: 0 });
  if (top.count === 0) return `${shape} ${name} has no notes of definite pitch.`;
  return `${shape} Below it, how often ${name} plays each pitch (most often: ${counted(top.count, "time")}).`;
}

function legend(notes: readonly PitchCount[]): readonly LegendEntry[] {
  const register = (fill: string) => outlined({ fill, stroke: EDGE, class: "sign" });
  const bar = (fill: string) => h("rect", { x: 8, y: 2, width: 6, height: 12, fill, stroke: NOTES_COLOUR });
  return [
    [register(EASY), "register, where the player is at ease"],
    [register(`url(#${BEYOND})`), "within reach, with care"],
    ...(notes.length === 0 ? [] : [
      [bar(NOTES_COLOUR), "played, at ease"] as const,
      [bar("none"), "played, with care"] as const,
      ["impossible", "outside the range"] as const,
    ]),
  ];
}
