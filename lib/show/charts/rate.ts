import { A_NUMBER, A_RECORD } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { askedInstruments, type InstrumentsAsked } from "../drawing/asked_instruments.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartDocument } from "../drawing/chart_document.ts";
import { endurancePanel } from "../panels/endurance_panel.ts";
import { chartFrame, type FrameBlock, type LegendEntry, severityShape } from "../drawing/frame.ts";
import {
  REPEATED_VALUES,
  type RepeatedValue,
  tempoOf,
  type Verdict,
  verdict,
  type Way,
  waysOf,
} from "../panels/rate_ways.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, fittingText, textWidth, wrapText } from "../drawing/text_width.ts";
import { INK, PAPER } from "../drawing/theme.ts";
import { figure } from "../drawing/words.ts";

/** Options of {@linkcode rateChart}. */
export interface RateChartOptions extends ChartOptions {
  /** A value at a tempo to be marked, for example sixteenths at 152. */
  readonly marked?: {
    /** Note value. */
    readonly value: RepeatedValue;
    /** Quarter notes per minute, within the axis. */
    readonly quartersPerMinute: number;
  };
  /** Slowest tempo of the axis, in quarter notes per minute. Default 40. */
  readonly fromQuartersPerMinute?: number;
  /** Fastest tempo of the axis. Default 208. */
  readonly toQuartersPerMinute?: number;
}

/** Where everything stands. */
interface Layout {
  readonly document: Document;
  readonly width: number;
  readonly height: number;
  readonly top: number;
  /** Room above the panel in pixels. */
  readonly head: number;
  readonly from: number;
  readonly to: number;
  readonly left: number;
  readonly column: number;
  readonly plotLeft: number;
  readonly marked: RateChartOptions["marked"];
  readonly rate: number | undefined;
  readonly instruments: readonly Instrument[];
  readonly ways: readonly Way[];
  /** The values whose names stand one line higher, beside others in their way. */
  readonly raised: readonly RepeatedValue[];
  readonly yOf: (perSecond: number) => number;
  readonly xOf: (quartersPerMinute: number) => number;
}

const NAME = "rate";
const MOST = 12;
const LEFT = 44;
const RIGHT = 92;
const TOP = 18;
const TEMPO_WORDS = ["tempo, quarter notes a minute", "quarters a minute", "♩ a minute", "tempo"];
/** How much wider bold type is. */
const BOLD = 1.1;
/** One line of text more above the panel, in pixels. */
const LINE = 13;
const GROUP_GAP = 14;
const HOLD = "#2f6a66";
const MARK = "#981230";
const VALUES = Object.entries(REPEATED_VALUES) as readonly (readonly [RepeatedValue, number])[];

/**
 * How fast a note can be repeated, against the tempo. At the left one column for each technique: full as far as it can
 * be kept up, hatched as far as it goes for a moment, dashed and empty where only advanced players have it. At the right
 * the rates of eighths to thirty-seconds rise with the tempo on the same scale, so that a line can be followed from a
 * value at a tempo to the techniques that reach it. Below, how the limits fall the longer the passage lasts.
 *
 * With more than three instruments each shows only its fastest conventional technique, and an advanced one where that
 * is faster.
 *
 * @param instruments instruments or their ids, 1 to 12
 * @param options a marked value and tempo, ends of the tempo axis, width, height of the upper panel, title
 * @returns the chart
 * @throws {InputError} when there is no instrument, an id is unknown, none of them repeats notes, the marked value or
 * tempo is not on the chart, or an option is unknown or out of bounds
 *
 * @example Can a trumpet repeat sixteenths at 152?
 * ```ts
 * import { chartSvg, rateChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = rateChart("trumpet in C", { marked: { value: "sixteenths", quartersPerMinute: 152 } });
 * assertStringIncludes(chartSvg(chart), "sixteenths at 152: 10.1 a second");
 * ```
 */
export function rateChart(instruments: InstrumentsAsked, options: RateChartOptions = {}): Chart {
  const checked = checkedOptions("rate chart", options, {
    marked: A_RECORD,
    fromQuartersPerMinute: A_NUMBER,
    toQuartersPerMinute: A_NUMBER,
  });
  const { width, height = 330, title = "How fast a note can be repeated" } = checked;
  const list = askedInstruments("rate chart", instruments, MOST);
  const layout = layoutOf(list, { ...checked, height });
  const { document, ways, marked } = layout;
  const signs = marked === undefined ? [] : ways.map((w) => verdict(w, layout.rate ?? 0));
  return chartFrame(document, {
    name: NAME,
    width,
    title,
    note: noteOf(layout),
    label: `Repeated-note rates of ${list.map((i) => i.id).join(", ")}: ${
      ways.map((w) => `${w.technique} ${figure(w.sustained)} to ${figure(w.burst)}`).join(", ")
    } a second`,
    legend: legend(layout, signs),
    blocks: [ratePanel(layout), endurancePanel({ ...layout, colours: { hold: HOLD, mark: MARK } })],
  });
}

function layoutOf(
  instruments: readonly Instrument[],
  options: RateChartOptions & { readonly width: number; readonly height: number },
): Layout {
  const { width, height, marked, fromQuartersPerMinute: from = 40, toQuartersPerMinute: to = 208 } = options;
  const refuse = (problem: string, remedy: string) =>
    new InputError({ action: "draw the rate chart", problem, remedy });
  if (!(from > 0 && to > from)) {
    throw refuse(`the tempo axis goes from ${from} to ${to}`, "Give two tempos above 0, the slower first");
  }
  if (marked !== undefined) {
    const { value, quartersPerMinute } = marked;
    if (!Object.hasOwn(REPEATED_VALUES, value)) {
      throw refuse(`"${value}" is not a value it knows`, `Use ${Object.keys(REPEATED_VALUES).join(", ")}`);
    }
    if (!(quartersPerMinute >= from && quartersPerMinute <= to)) {
      throw refuse(`the marked tempo is ${quartersPerMinute}`, `Give one from ${from} to ${to}`);
    }
  }
  const ways = instruments.flatMap((i) => waysOf(i, instruments.length <= 3));
  if (ways.length === 0) {
    throw refuse("none of the instruments has a rate for repeated notes", "Give at least one that has");
  }
  const rate = marked && marked.quartersPerMinute / 60 * REPEATED_VALUES[marked.value];
  const top = Math.max(16, Math.ceil((Math.max(rate ?? 0, ...ways.map((w) => w.burst)) + 1) / 2) * 2);
  const groups = instruments.filter((i) => ways.some((w) => w.instrument === i)).length;
  const column = Math.min(30, (width * 0.52 - LEFT - groups * GROUP_GAP) / ways.length);
  const plotLeft = LEFT + ways.length * column + groups * GROUP_GAP + 22;
  const xOf = (tempo: number) => plotLeft + (tempo - from) / (to - from) * (width - RIGHT - plotLeft);
  const raised = raisedNames((perQuarter) => {
    const end = top * 60 / perQuarter;
    return end > from && end < to ? xOf(end) : undefined;
  });
  const head = TOP + (raised.length > 0 ? LINE : 0);
  return {
    document: chartDocument(),
    width,
    height,
    top,
    head,
    raised,
    from,
    to,
    left: LEFT,
    column,
    plotLeft,
    marked,
    rate,
    instruments,
    ways,
    yOf: (perSecond) => head + (1 - perSecond / top) * (height - head),
    xOf,
  };
}

/** Names above the panel that would touch the one before them are raised by a line. */
function raisedNames(endOf: (perQuarter: number) => number | undefined): readonly RepeatedValue[] {
  const raised: RepeatedValue[] = [];
  let taken = -Infinity;
  for (const [value, perQuarter] of [...VALUES].reverse()) {
    const x = endOf(perQuarter);
    const half = textWidth(value, 11) / 2;
    if (x === undefined) continue;
    if (x - half < taken) raised.push(value);
    else taken = x + half + 4;
  }
  return raised;
}

function ratePanel(layout: Layout): FrameBlock {
  const { document, height, width, top, left, yOf, plotLeft } = layout;
  const values = Array.from({ length: Math.floor(top / 2) + 1 }, (_, i) => i * 2);
  const grid = values.flatMap((v) => [
    h(document, "path", {
      d: `M${left} ${yOf(v)}H${width - RIGHT}`,
      fill: "none",
      stroke: "currentColor",
      "stroke-opacity": v === 0 ? 0.6 : 0.12,
    }),
    svgText(document, { text: String(v), x: left - 7, y: yOf(v) + 4, anchor: "end" }),
  ]);
  const heading = svgText(document, { text: "notes a second", x: 12, y: 11, opacity: 0.85 });
  const foot = columnFoot(layout);
  return {
    element: h(
      document,
      "g",
      { "aria-label": "rate against tempo" },
      hatch(document),
      ...grid,
      heading,
      ...(layout.instruments.length === 1 ? layout.ways.map((w) => band(w, layout)) : []),
      ...VALUES.flatMap(([value, perQuarter]) => valueLine(value, perQuarter, layout)),
      ...layout.ways.map((w, i) => columnElement(w, i, layout)),
      ...markElements(layout),
      ...tempoAxis(layout),
      foot.element,
      h(document, "path", {
        d: `M${plotLeft} ${layout.head}V${height}`,
        fill: "none",
        stroke: "currentColor",
        "stroke-opacity": 0.6,
      }),
    ),
    height: height + Math.max(38, foot.height),
  };
}

/** The band of a technique behind the lines: between what can be kept up and what goes for a moment. */
function band(way: Way, { document, xOf, yOf, from, to }: Layout): SVGElement {
  const [x1, x2] = [xOf(from), xOf(to)];
  const edge: Readonly<Record<string, string>> = way.conventional ? {} : { "stroke-dasharray": "1 4" };
  return h(
    document,
    "g",
    { class: "band", stroke: HOLD },
    h(document, "rect", {
      x: x1,
      y: yOf(way.burst),
      width: x2 - x1,
      height: yOf(way.sustained) - yOf(way.burst),
      fill: HOLD,
      stroke: "none",
      "fill-opacity": way.conventional ? 0.09 : 0.04,
    }),
    h(document, "path", {
      d: `M${x1} ${yOf(way.sustained)}H${x2}`,
      fill: "none",
      stroke: HOLD,
      "stroke-opacity": 0.7,
      ...edge,
    }),
    h(document, "path", {
      d: `M${x1} ${yOf(way.burst)}H${x2}`,
      fill: "none",
      stroke: HOLD,
      "stroke-opacity": 0.7,
      "stroke-dasharray": way.conventional ? "5 3" : "1 4",
    }),
  );
}

/** One value over the tempo, named where it leaves the panel. */
function valueLine(value: RepeatedValue, perQuarter: number, layout: Layout): readonly SVGElement[] {
  const { document, from, to, top, head, raised, xOf, yOf, width, marked } = layout;
  const end = Math.min(to, top * 60 / perQuarter);
  if (end <= from) return [];
  const perSecond = end / 60 * perQuarter;
  const isMarked = marked?.value === value;
  const leavesAtTop = end < to;
  return [
    h(document, "path", {
      d: `M${xOf(from)} ${yOf(from / 60 * perQuarter)}L${xOf(end)} ${yOf(perSecond)}`,
      fill: "none",
      class: "value",
      ...(isMarked ? { stroke: MARK, "stroke-width": 2.2 } : { "stroke-opacity": 0.75, "stroke-width": 1.4 }),
    }),
    svgText(document, {
      text: value,
      x: leavesAtTop ? xOf(end) : width - RIGHT + 6,
      y: leavesAtTop ? head - 6 - (raised.includes(value) ? LINE : 0) : yOf(perSecond) + 4,
      anchor: leavesAtTop ? "middle" : "start",
      weight: isMarked ? 600 : 400,
    }),
  ];
}

/** Left edge of a technique's column. */
function columnLeft(index: number, { ways, left, column }: Layout): number {
  const groups = ways.slice(0, index + 1).filter((w, i) => w.instrument !== ways[i - 1]?.instrument).length;
  return left + index * column + groups * GROUP_GAP - GROUP_GAP / 2;
}

/** One technique: full as far as it can be kept up, hatched as far as it goes, its name along it. */
function columnElement(way: Way, index: number, layout: Layout): SVGElement {
  const { document, yOf, column, rate, marked } = layout;
  const x = columnLeft(index, layout) + column * 0.12;
  const wide = column * 0.76;
  const { conventional, sustained, burst } = way;
  const box = (from: number, to: number, attributes: Readonly<Record<string, string | number>>) =>
    h(document, "rect", { x, y: yOf(to), width: wide, height: yOf(from) - yOf(to), ...attributes });
  const dash: Readonly<Record<string, string>> = conventional ? {} : { "stroke-dasharray": "3 3" };
  const title = h(
    document,
    "title",
    {},
    `${way.instrument.id}, ${way.technique}: ${figure(sustained)} a second kept up, ${
      figure(burst)
    } for a moment` + `${conventional ? "" : "; advanced players only"}. Source: ${way.source}`,
  );
  const sign = rate === undefined || marked === undefined
    ? []
    : [verdictSign(document, verdict(way, rate), { x: x + wide / 2, y: yOf(burst) - 10 })];
  return h(
    document,
    "g",
    { class: `technique ${conventional ? "conventional" : "advanced"}` },
    title,
    box(0, sustained, {
      class: "sustained",
      fill: conventional ? HOLD : PAPER,
      stroke: HOLD,
      ...dash,
    }),
    box(sustained, burst, { class: "burst", fill: "url(#ripieno-rate-burst)", stroke: HOLD, ...dash }),
    ...columnName(way, { x: x + wide / 2, wide }, layout),
    ...sign,
  );
}

/** The technique's name along its column: inside on one line or two, or else above it; none where columns are thin. */
function columnName(
  way: Way,
  { x, wide }: { readonly x: number; readonly wide: number },
  { document, yOf, rate, head, height }: Layout,
): readonly SVGElement[] {
  const name = way.conventional ? way.technique : `${way.technique}, advanced`;
  const inside = height - yOf(way.sustained) - 6;
  const above = yOf(way.burst) - (rate === undefined ? 5 : 18);
  if (wide < 9) return [];
  const isOneLine = (size: number, room: number) => textWidth(name, size) <= room && size <= wide;
  const two = wrapText(name, 9, inside);
  const size = [10.5, 9].find((s) => isOneLine(s, inside)) ?? 9;
  const isTwo = two.length === 2 && wide >= 20 && two.every((line) => textWidth(line, 9) <= inside);
  const isAbove = !isOneLine(size, inside) && !isTwo && isOneLine(size, above - head);
  const lines = isOneLine(size, inside) || isAbove ? [name] : isTwo ? two : [fitText(name, size, inside)];
  const from = isAbove ? above : height - 5;
  return lines.map((text, i) =>
    h(document, "g", {
      transform: `translate(${x + 4 + (i - (lines.length - 1) / 2) * 10},${from}) rotate(-90)`,
      fill: way.conventional && !isAbove ? "#ffffff" : INK,
    }, svgText(document, { text, x: 0, y: 0, size, halo: isAbove }))
  );
}

/** A full dot, a half one, a cross. */
function verdictSign(
  document: Document,
  what: Verdict,
  { x, y }: { readonly x: number; readonly y: number },
): SVGElement {
  const shape = what === "too slow" ? [severityShape(document, "impossible", { x, y })] : [
    h(document, "circle", { cx: x, cy: y, r: 5, fill: what === "keeps up" ? HOLD : PAPER, stroke: HOLD }),
    ...(what === "for a moment"
      ? [h(document, "path", { d: `M${x - 5} ${y}A5 5 0 0 0 ${x + 5} ${y}Z`, fill: HOLD, stroke: HOLD })]
      : []),
  ];
  return h(document, "g", { class: `verdict ${what.replaceAll(" ", "-")}` }, ...shape);
}

/** The marked tempo, and the way from it to the columns. */
function markElements(layout: Layout): readonly SVGElement[] {
  const { document, marked, rate, xOf, yOf, height, left, plotLeft, width } = layout;
  if (marked === undefined || rate === undefined) return [];
  const x = xOf(marked.quartersPerMinute);
  const y = yOf(rate);
  const text = markInWords(layout);
  const wide = textWidth(text, 11) * BOLD;
  const isLeft = x - 10 - wide > plotLeft + 4;
  return [h(
    document,
    "g",
    { class: "marked" },
    h(document, "path", {
      d: `M${left} ${y}H${x}V${height}`,
      fill: "none",
      stroke: MARK,
      "stroke-width": 1.6,
      "stroke-dasharray": "6 3",
    }),
    h(document, "circle", { cx: x, cy: y, r: 5, fill: MARK }),
    ...(hasMarkWords(layout)
      ? [svgText(document, {
        text,
        x: isLeft ? x - 10 : Math.min(x + 10, width - RIGHT - wide),
        y: y - 8,
        anchor: isLeft ? "end" : "start",
        weight: 600,
        halo: true,
      })]
      : []),
  )];
}

function markInWords({ marked, rate }: Layout): string {
  return marked === undefined || rate === undefined
    ? ""
    : `${marked.value} at ${marked.quartersPerMinute}: ${figure(rate)} a second`;
}

/** Whether the words at the mark have room beside the columns; if not, the legend has them. */
function hasMarkWords(layout: Layout): boolean {
  return layout.width - RIGHT - layout.plotLeft > textWidth(markInWords(layout), 11) * BOLD + 8;
}

function tempoAxis({ document, from, to, xOf, height, width, plotLeft }: Layout): readonly SVGElement[] {
  const step = [5, 10, 20, 40, 80].find((s) => (xOf(from + s) - xOf(from)) >= 34) ?? 100;
  const ticks: number[] = [];
  for (let t = Math.ceil(from / step) * step; t <= to; t += step) ticks.push(t);
  return [
    ...ticks.flatMap((t) => [
      h(document, "path", {
        d: `M${xOf(t)} ${height}V${height + 5}`,
        fill: "none",
        stroke: "currentColor",
        "stroke-opacity": 0.6,
      }),
      svgText(document, { text: String(t), x: xOf(t), y: height + 17, anchor: "middle" }),
    ]),
    svgText(document, {
      text: fittingText(TEMPO_WORDS, 11, width - RIGHT - plotLeft),
      x: width - RIGHT,
      y: height + 32,
      anchor: "end",
      opacity: 0.85,
    }),
  ];
}

/** Below the columns: the instruments, and to what tempo the value goes. */
function columnFoot(layout: Layout): FrameBlock {
  const { document, instruments, ways, height, column, marked } = layout;
  const children = instruments.flatMap((instrument) => {
    const own = ways.flatMap((w, i) => w.instrument === instrument ? [i] : []);
    const first = own[0];
    const last = own.at(-1);
    if (first === undefined || last === undefined) return [];
    const x1 = columnLeft(first, layout);
    const x2 = columnLeft(last, layout) + column;
    const room = x2 - x1 + GROUP_GAP - 4;
    const isWide = textWidth(instrument.id, 11) <= room;
    const y = height + 14;
    return [
      h(document, "path", {
        d: `M${x1} ${height + 4}H${x2}`,
        fill: "none",
        stroke: "currentColor",
        "stroke-opacity": 0.45,
      }),
      isWide
        ? svgText(document, {
          text: instrument.id,
          x: (x1 + x2) / 2,
          y: y + 4,
          anchor: "middle",
          weight: 600,
        })
        : h(
          document,
          "g",
          { transform: `translate(${(x1 + x2) / 2 + 4},${y - 2}) rotate(-38)` },
          svgText(document, { text: instrument.id, x: 0, y: 4, anchor: "end", weight: 600 }),
        ),
    ];
  });
  const slanted = instruments.filter((instrument) => {
    const count = ways.filter((w) => w.instrument === instrument).length;
    return textWidth(instrument.id, 11) > count * column + GROUP_GAP - 4;
  });
  const slant = Math.max(0, ...slanted.map((i) => textWidth(i.id, 11) * 0.62 + 12));
  const value = marked?.value ?? "sixteenths";
  const rows = slant > 0 || column < 26 ? [] : [
    ...ways.flatMap((w, i) =>
      [tempoOf(w.sustained, value), tempoOf(w.burst, value)].map((tempo, k) =>
        svgText(document, {
          text: String(tempo),
          x: columnLeft(i, layout) + column / 2,
          y: height + 50 + k * 14,
          size: 10,
          anchor: "middle",
          opacity: k === 0 ? 1 : 0.7,
        })
      )
    ),
    svgText(document, {
      text: fittingText(
        [`fastest ${value}: kept up, for a moment`, `fastest ${value}`, "fastest"],
        10,
        layout.width - RIGHT - 24 -
          textWidth(fittingText(TEMPO_WORDS, 11, layout.width - RIGHT - layout.plotLeft), 11),
      ),
      x: 12,
      y: height + 34,
      size: 10,
      opacity: 0.75,
    }),
  ];
  return {
    element: h(document, "g", { "aria-label": "tempos" }, ...children, ...rows),
    height: rows.length > 0 ? 70 : slant,
  };
}

function noteOf({ instruments, ways }: Layout): string {
  const silent = instruments.filter((i) => !ways.some((w) => w.instrument === i)).map((i) => i.id);
  return [
    "Limits are guides to plan with; players and their teachers decide.",
    ...(instruments.length > 3
      ? ["Of each instrument the fastest conventional technique, and an advanced one where that is faster."]
      : []),
    ...(silent.length > 0 ? [`No figure is known for ${silent.join(", ")}.`] : []),
  ].join(" ");
}

function legend(layout: Layout, verdicts: readonly Verdict[]): readonly LegendEntry[] {
  const { document, ways } = layout;
  const patch = (fill: string, dash: string) =>
    h(document, "rect", {
      x: 0.5,
      y: 2,
      width: 21,
      height: 12,
      fill,
      stroke: HOLD,
      ...(dash === "" ? {} : { "stroke-dasharray": dash }),
    });
  return [
    { sign: { drawn: patch(HOLD, "") }, label: "can be kept up" },
    { sign: { drawn: patch("url(#ripieno-rate-burst)", "") }, label: "for a moment" },
    ...(ways.some((w) => !w.conventional)
      ? [{ sign: { drawn: patch(PAPER, "3 3") }, label: "advanced players only" }]
      : []),
    ...(["keeps up", "for a moment", "too slow"] as const).filter((v) => verdicts.includes(v)).map((v) => ({
      sign: { drawn: verdictSign(document, v, { x: 11, y: 8 }) },
      label: {
        "keeps up": "reaches the mark",
        "for a moment": "reaches it briefly",
        "too slow": "does not reach it",
      }[v],
    })),
    ...(layout.marked === undefined || hasMarkWords(layout) ? [] : [{
      sign: {
        drawn: h(document, "path", {
          d: "M0 8H22",
          fill: "none",
          stroke: MARK,
          "stroke-width": 1.6,
          "stroke-dasharray": "6 3",
        }),
      },
      label: markInWords(layout),
    }]),
  ];
}

function hatch(document: Document): SVGElement {
  return h(
    document,
    "defs",
    {},
    h(
      document,
      "pattern",
      { id: "ripieno-rate-burst", width: 6, height: 6, patternUnits: "userSpaceOnUse" },
      h(document, "rect", { width: 6, height: 6, fill: "#eef6f4" }),
      h(document, "path", {
        d: "M-1.5 1.5L1.5 -1.5M0 6L6 0M4.5 7.5L7.5 4.5",
        stroke: HOLD,
        "stroke-width": 1,
      }),
    ),
  );
}
