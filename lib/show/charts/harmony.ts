import { A_HARMONY, A_NUMBER, A_SCORE, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import type { HarmonyReading, HarmonySpan } from "../../harmony/harmony_results.ts";
import type { Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import { axisOfScore } from "../drawing/bar_axis.ts";
import { barRows, type BarRowsOptions, rowsBlocks } from "../panels/bar_rows.ts";
import { type BarScale, barScale, MARGIN_RIGHT } from "../drawing/bar_scale.ts";
import { barsBlocks } from "../drawing/bars_frame.ts";
import { checkedOptions } from "../drawing/chart_options.ts";
import { chartFrame, type FrameBlock, type LegendEntry } from "../drawing/frame.ts";
import { chordAsPrinted, keyAsPrinted } from "../drawing/note_name.ts";
import { namedMark } from "../drawing/named_mark.ts";
import type { BarSpan } from "../drawing/spans.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { textWidth } from "../drawing/text_width.ts";
import { hue } from "../drawing/theme.ts";
import { counted, percent } from "../drawing/words.ts";
import { harmonyTitle } from "../titles/texture_titles.ts";

const NAME = "harmony";
const CHORD = hue("blue");
const EXPLAINED = hue("teal");
const KEY = { major: hue("amber"), minor: hue("violet") };
const KEY_OPACITY = { major: 0.22, minor: 0.42 };
/** Pixels a bar has at least before the bars are broken into rows: room for a short chord symbol. */
const BAR_PIXELS = 24;
const MARGIN_LEFT = 68;
/** Sizes of symbols, smaller ones where there is less room, and of steps. */
const SYMBOL_SIZES = [11, 9.5];
const DEGREE_SIZES = [9];
/** Heights of the strips in pixels, and the room between them. */
const KEYS = 18;
const CHORDS = 34;
const SHARES = 22;
const GAP = 4;
/** Chords of which one is as sure as can be are this dark, those that are not sure at all nearly as light as the paper. */
const DARKEST = 0.4;
const LIGHTEST = 0.05;

/** From where to where on the axis: bars and parts of bars. */
interface BarStretch {
  readonly from: number;
  readonly to: number;
}

interface ChordBox extends BarStretch {
  readonly span: HarmonySpan;
}

interface KeyBox extends BarStretch {
  readonly name: string;
  readonly mode: "major" | "minor";
}

/**
 * Chords and keys along the bars: a band with the key that each stretch is heard in; below it the chords with symbol and
 * step of the key, the stronger their colour the surer; below these how much of what sounds belongs to the chord. Names stand where they
 * fit; all is said of a chord where one points at it. A long score is broken into rows of bars, like systems.
 *
 * @param score the score
 * @param harmony what `readHarmony` gave for it
 * @param options bars shown, rows, width, height of a row, title
 * @returns the chart
 * @throws {InputError} when the bars are not in the score, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore, readHarmony } from "ripieno";
 * import { chartSvg, harmonyChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = harmonyChart(demoScore(), readHarmony(demoScore()));
 * assertStringIncludes(chartSvg(chart), "D minor");
 * ```
 */
export function harmonyChart(
  score: Score,
  harmony: HarmonyReading,
  options: BarRowsOptions = {},
): Chart {
  checkArgument("draw the harmony chart", score, A_SCORE);
  checkArgument("draw the harmony chart", harmony, A_HARMONY);
  const { width, height, title } = checkedOptions("harmony chart", options, {
    fromBarIndex: A_NUMBER,
    toBarIndex: A_NUMBER,
    rows: undefined,
  });
  const pixels = width - MARGIN_LEFT - MARGIN_RIGHT;
  const rows = barRows(score, { chart: "harmony chart", options, pixels, barPixels: BAR_PIXELS });
  const chords = chordBoxes(score, harmony.spans);
  const keys = keyBoxes(chords);
  const shares = Math.max(12, (height ?? 0) / rows.length - KEYS - CHORDS - 2 * GAP, SHARES);
  const shown = { from: rows[0]!.fromBarIndex, to: rows.at(-1)!.toBarIndex + 1 };
  const [seen, seenKeys] = [within(chords, shown), within(keys, shown)];
  return chartFrame({
    name: NAME,
    width,
    title: title ?? harmonyTitle(seen, seenKeys, shown.to - shown.from),
    label: `${counted(seen.length, "chord")} along ${
      counted(Math.max(0, shown.to - shown.from), "bar")
    }, in ${
      seenKeys.length === 0 ? "no key" : [...new Set(seenKeys.map((k) => keyAsPrinted(k.name)))].join(", ")
    }`,
    legend: legendOf(seen, seenKeys),
    blocks: rowsBlocks(rows, (row) => rowBlocks(score, { row, chords, keys, shares, width })),
  });
}

/** Spans with a chord, on the axis. */
function chordBoxes(score: Score, spans: readonly HarmonySpan[]): readonly ChordBox[] {
  const placeOf = (ticks: number) => {
    const barIndex = barIndexOf(score, ticks);
    const { startTicks, durationTicks } = score.bars[barIndex]!;
    return barIndex + (ticks - startTicks) / durationTicks;
  };
  if (score.bars.length === 0) return [];
  return spans.filter((span) => span.root !== null || span.origin === "symbol").map((span) => ({
    span,
    from: placeOf(span.startTicks),
    to: placeOf(span.endTicks),
  }));
}

/** Neighbouring chords heard in one key. */
function keyBoxes(chords: readonly ChordBox[]): readonly KeyBox[] {
  const keys: KeyBox[] = [];
  for (const { span: { key }, from, to } of chords) {
    if (key === null) continue;
    const last = keys.at(-1);
    if (last?.name === key.name) keys[keys.length - 1] = { ...last, to };
    else keys.push({ name: key.name, mode: key.mode, from, to });
  }
  return keys;
}

/** What lies between two ends, cut off there. */
function within<Box extends BarStretch>(boxes: readonly Box[], { from, to }: BarStretch): readonly Box[] {
  return boxes.filter((box) => box.from < to && box.to > from)
    .map((box) => ({ ...box, from: Math.max(from, box.from), to: Math.min(to, box.to) }));
}

const darknessOf = ({ confidence }: HarmonySpan): number => LIGHTEST + (DARKEST - LIGHTEST) * confidence;

function legendOf(chords: readonly ChordBox[], keys: readonly KeyBox[]): readonly LegendEntry[] {
  const patch = (fill: string, opacity: number) =>
    h("rect", { x: 0, y: 1, width: 22, height: 14, rx: 2, fill, "fill-opacity": opacity, ...EDGE });
  const surer = h(
    "g",
    {},
    ...[0, 0.5, 1].map((sure, i) =>
      h("rect", {
        x: i * 7.3,
        y: 1,
        width: 7.3,
        height: 14,
        fill: CHORD,
        "fill-opacity": LIGHTEST + (DARKEST - LIGHTEST) * sure,
        ...EDGE,
      })
    ),
  );
  const modes = (["major", "minor"] as const).filter((mode) => keys.some((key) => key.mode === mode));
  const isPrinted = (box: ChordBox) => box.span.origin === "symbol";
  return [
    ...modes.map((mode) => [patch(KEY[mode], KEY_OPACITY[mode]), `${mode} key`] as const),
    ...(chords.every(isPrinted) ? [] : [[surer, "chord: the stronger its colour, the surer"] as const]),
    ...(chords.some(isPrinted)
      ? [
        [
          svgText({ text: "Am", x: 11, y: 12, anchor: "middle", weight: 700 }),
          "given by its symbol",
        ] as const,
      ]
      : []),
    [patch(EXPLAINED, 0.6), "how much of what sounds belongs to it"],
  ];
}

/** Fine rims, so that light boxes are seen on any paper. */
const EDGE = { stroke: "currentColor", "stroke-opacity": 0.35, "stroke-width": 0.5 };

interface RowInput {
  readonly row: BarSpan;
  readonly chords: readonly ChordBox[];
  readonly keys: readonly KeyBox[];
  /** Height of the strip of shares. */
  readonly shares: number;
  readonly width: number;
}

function rowBlocks(score: Score, { row, chords, keys, shares, width }: RowInput): readonly FrameBlock[] {
  const scale = barScale(axisOfScore(score, row), { width, marginLeft: MARGIN_LEFT });
  const ends = { from: row.fromBarIndex, to: row.toBarIndex + 1 };
  const [here, keysHere] = [within(chords, ends), within(keys, ends)];
  const chordsTop = KEYS + GAP;
  const sharesTop = chordsTop + CHORDS + GAP;
  const bottom = sharesTop + shares;
  const box = (strip: readonly [top: number, bottom: number]) => ({
    x1: "from",
    x2: "to",
    y1: strip[0],
    y2: strip[1],
    stroke: "currentColor",
    strokeOpacity: 0.35,
    strokeWidth: 0.5,
  });
  return barsBlocks(scale, [{
    heading: "",
    height: bottom + 2,
    domain: [bottom + 1, -1],
    marks: [
      Plot.rect(keysHere, {
        ...box([0, KEYS]),
        fill: (k: KeyBox) => KEY[k.mode],
        fillOpacity: (k: KeyBox) => KEY_OPACITY[k.mode],
        title: (k: KeyBox) => keyAsPrinted(k.name),
        ...namedMark("keys"),
      }),
      Plot.rect(here, {
        ...box([chordsTop, chordsTop + CHORDS]),
        fill: CHORD,
        fillOpacity: (c: ChordBox) => darknessOf(c.span),
        title: (c: ChordBox) => inWords(c.span),
        ...namedMark("chords"),
      }),
      Plot.rect(here, {
        ...box([0, 0]),
        y1: (c: ChordBox) => bottom - c.span.explainedShare * shares,
        y2: bottom,
        strokeOpacity: 0,
        fill: EXPLAINED,
        fillOpacity: 0.6,
        title: (c: ChordBox) => inWords(c.span),
        ...namedMark("explained"),
      }),
      Plot.ruleY([sharesTop, bottom], { strokeOpacity: 0.2, ...namedMark("ends") }),
    ],
    over: [
      stripNames([["key", 12], ["chord", chordsTop + 15], ["step", chordsTop + 28]], scale),
      stripNames([["100 %", sharesTop + 7], ["0", bottom]], scale),
      h(
        "g",
        { class: "key-names" },
        ...keysHere.flatMap((k) => fitting(k, { text: keyAsPrinted(k.name), y: 13 }, scale)),
      ),
      h("g", { class: "chord-names" }, ...here.flatMap((c) => chordName(c, chordsTop, scale))),
    ],
  }]);
}

/** Names of the strips, left of the bars. */
function stripNames(
  names: readonly (readonly [text: string, y: number])[],
  { marginLeft }: BarScale,
): SVGElement {
  return h(
    "g",
    { "aria-label": "strips" },
    ...names.map(([text, y]) =>
      svgText({ text, x: marginLeft - 6, y, size: 10, anchor: "end", opacity: 0.75 })
    ),
  );
}

/** A chord's symbol, and its step of the key below it. */
function chordName({ span, ...stretch }: ChordBox, top: number, scale: BarScale): readonly SVGElement[] {
  const weight = span.origin === "symbol" ? 700 : undefined;
  const symbol = fitting(stretch, { text: chordAsPrinted(span.symbol), y: top + 15, weight }, scale);
  const step = { text: chordAsPrinted(span.degree), y: top + 28, sizes: DEGREE_SIZES };
  return symbol.length === 0 || span.degree === "" ? symbol : [...symbol, ...fitting(stretch, step, scale)];
}

interface FittingText {
  readonly text: string;
  readonly y: number;
  /** Sizes it may have, the first that fits is taken. By default those of symbols. */
  readonly sizes?: readonly number[];
  readonly weight?: number | undefined;
}

/** A text at the start of a stretch, where there is room for all of it. */
function fitting({ from, to }: BarStretch, input: FittingText, { xOf }: BarScale): readonly SVGElement[] {
  const { sizes = SYMBOL_SIZES, ...text } = input;
  const bold = text.weight === undefined ? 1 : 1.1;
  const room = xOf(to) - xOf(from) - 4;
  const size = sizes.find((one) => textWidth(text.text, one) * bold <= room);
  return size === undefined ? [] : [svgText({ ...text, size, x: xOf(from) + 3 })];
}

/** All that is said of a chord. */
function inWords(
  { bar, beat, symbol, degree, key, confidence, explainedShare, origin, root }: HarmonySpan,
): string {
  const place = `bar ${bar}, beat ${Math.round(beat * 100) / 100}: ${chordAsPrinted(symbol)}`;
  if (root === null) return place;
  const step = degree === "" || key === null
    ? ""
    : `, ${chordAsPrinted(degree)} in ${keyAsPrinted(key.name)}`;
  const sure = origin === "symbol" ? "given by its symbol" : `${percent(confidence)} sure`;
  return `${place}${step}; ${sure}; ${percent(explainedShare)} of what sounds belongs to it`;
}
