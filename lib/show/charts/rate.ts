import * as Plot from "@observablehq/plot";
// @ts-types="@types/d3-array"
import { ticks } from "d3-array";
import { A_NUMBER, A_RECORD } from "../../base/arguments.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import { askedInstruments, type InstrumentsAsked } from "../drawing/asked_instruments.ts";
import { cannotDraw, type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
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
import { namedMark } from "../drawing/named_mark.ts";
import { plotBlock } from "../drawing/plot_block.ts";
import { headWords } from "../drawing/plot_texts.ts";
import { hatch, levelLine, outlined } from "../drawing/signs.ts";
import { type Chart, h } from "../drawing/svg.ts";
import { fitText, fittingText, textWidth, wrapText } from "../drawing/text_width.ts";
import { hue, INK, PAPER } from "../drawing/theme.ts";
import { valueAxis } from "../drawing/value_axis.ts";
import { figure } from "../drawing/words.ts";
import { rateTitle } from "../titles/instrument_titles.ts";
import { instrumentAsPrinted } from "../drawing/note_name.ts";

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

interface WayColumn extends Way {
  readonly left: number;
  readonly middle: number;
}

/** Where everything stands, in pixels. */
interface RateLayout {
  readonly width: number;
  readonly height: number;
  /** Upper end of the scale, in notes a second. */
  readonly top: number;
  /** Room above the panel. */
  readonly head: number;
  /** Ends of the tempo axis. */
  readonly from: number;
  readonly to: number;
  /** Width of a column. */
  readonly column: number;
  /** Left edge of the tempo axis, and its width. */
  readonly plotLeft: number;
  readonly plotWidth: number;
  readonly instruments: readonly Instrument[];
  readonly ways: readonly WayColumn[];
  /** What is marked, with its rate. */
  readonly mark: RateMark | undefined;
  /** The values whose names stand one line higher, beside others in their way. */
  readonly raised: readonly RepeatedValue[];
  readonly xOf: (quartersPerMinute: number) => number;
}

/** A value at a tempo, in notes a second, in words, and whether these have room beside the columns. */
interface RateMark {
  readonly value: RepeatedValue;
  readonly quartersPerMinute: number;
  readonly rate: number;
  readonly words: string;
  readonly isWritten: boolean;
}

const NAME = "rate";
const MOST = 12;
/** Ends of the tempo axis, where none are given. */
const SLOWEST = 40;
const FASTEST = 208;
const LEFT = 44;
const RIGHT = 92;
const TOP = 21;
const TEMPO_WORDS = ["tempo, quarter notes a minute", "quarters a minute", "♩ a minute", "tempo"];
/** How much wider bold type is. */
const BOLD = 1.1;
/** One line of text more above the panel, in pixels. */
const LINE = 13;
const GROUP_GAP = 14;
const HOLD = hue("teal");
const MARK = hue("wine");
/** The line to what is marked. */
const DASHED = { stroke: MARK, strokeWidth: 1.6, strokeDasharray: "6 3" };
/** The texture of what goes for a moment. */
const BURST = "ripieno-rate-burst";
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
  const list = askedInstruments("rate chart", instruments, MOST);
  const ways = list.flatMap((i) => waysOf(i, list.length <= 3));
  checkMark(checked, ways);
  const layout = layoutOf(list, ways, checked);
  const { width, title = rateTitle(ways, layout.mark) } = checked;
  const rates = ways.map((w) => `${w.technique} ${figure(w.sustained)} to ${figure(w.burst)}`);
  return chartFrame({
    name: NAME,
    width,
    title,
    note: noteOf(layout),
    label: `Repeated-note rates of ${list.map((i) => instrumentAsPrinted(i.id)).join(", ")}: ${
      rates.join(", ")
    } a second`,
    legend: legend(layout),
    blocks: [
      ratePanel(layout),
      endurancePanel({
        ...layout,
        rate: layout.mark?.rate,
        left: LEFT,
        colours: { hold: HOLD, mark: MARK },
      }),
    ],
  });
}

/** Refuses what cannot be drawn: an axis that does not rise, a mark that is not on it, nothing that repeats notes. */
function checkMark(options: RateChartOptions, ways: readonly Way[]): void {
  const { marked, fromQuartersPerMinute: from = SLOWEST, toQuartersPerMinute: to = FASTEST } = options;
  const refuse = (problem: string, remedy: string) => cannotDraw("rate chart", problem, remedy);
  if (!(from > 0 && to > from)) {
    throw refuse(`the tempo axis goes from ${from} to ${to}`, "Give two tempos above 0, the slower first");
  }
  if (marked !== undefined && !Object.hasOwn(REPEATED_VALUES, marked.value)) {
    const values = Object.keys(REPEATED_VALUES).join(", ");
    throw refuse(`"${marked.value}" is not a value it knows`, `Use ${values}`);
  }
  if (marked !== undefined && !(marked.quartersPerMinute >= from && marked.quartersPerMinute <= to)) {
    throw refuse(`the marked tempo is ${marked.quartersPerMinute}`, `Give one from ${from} to ${to}`);
  }
  if (ways.length === 0) {
    throw refuse("none of the instruments has a rate for repeated notes", "Give at least one that has");
  }
}

function layoutOf(
  instruments: readonly Instrument[],
  ways: readonly Way[],
  options: RateChartOptions & { readonly width: number },
): RateLayout {
  const { width, height = 330, marked } = options;
  const { fromQuartersPerMinute: from = SLOWEST, toQuartersPerMinute: to = FASTEST } = options;
  const rate = marked && marked.quartersPerMinute / 60 * REPEATED_VALUES[marked.value];
  const top = Math.max(16, Math.ceil((Math.max(rate ?? 0, ...ways.map((w) => w.burst)) + 1) / 2) * 2);
  const shown = instruments.filter((i) => ways.some((w) => w.instrument === i));
  const gaps = shown.length * GROUP_GAP;
  const column = Math.min(30, (width * 0.52 - LEFT - gaps) / ways.length);
  const plotLeft = LEFT + ways.length * column + gaps + 22;
  const plotWidth = width - RIGHT - plotLeft;
  const xOf = (tempo: number) => plotLeft + (tempo - from) / (to - from) * plotWidth;
  const raised = raisedNames((perQuarter) => {
    const end = top * 60 / perQuarter;
    return end > from && end < to ? xOf(end) : undefined;
  });
  return {
    width,
    height,
    top,
    head: TOP + (raised.length > 0 ? LINE : 0),
    raised,
    from,
    to,
    column,
    plotLeft,
    plotWidth,
    mark: marked && { ...marked, rate: rate!, ...markWords(marked, rate!, plotWidth) },
    instruments,
    ways: ways.map((way, i) => {
      const left = LEFT + i * column + (shown.indexOf(way.instrument) + 0.5) * GROUP_GAP;
      return { ...way, left, middle: left + column / 2 };
    }),
    xOf,
  };
}

function markWords(
  { value, quartersPerMinute }: NonNullable<RateChartOptions["marked"]>,
  rate: number,
  room: number,
): Pick<RateMark, "words" | "isWritten"> {
  const words = `${value} at ${quartersPerMinute}: ${figure(rate)} a second`;
  return { words, isWritten: room > textWidth(words, 11) * BOLD + 8 };
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

/** Left of the panel the columns, right of it the lines: two scales across, so places across are pixels. */
function ratePanel(layout: RateLayout): FrameBlock {
  const { height, width, top, head, plotLeft } = layout;
  const foot = columnFoot(layout);
  return plotBlock({
    label: "rate against tempo",
    width,
    height: height + foot.height,
    marginLeft: LEFT,
    marginRight: RIGHT,
    marginTop: head,
    marginBottom: foot.height,
    x: { type: "identity" },
    y: { domain: [0, top] },
    marks: [
      () => hatch({ id: BURST, ground: PAPER, ink: HOLD, lineWidth: 1 }),
      ...valueAxis({ bottom: 0, top, height: 50 * top / 2 }),
      Plot.ruleY([0], { strokeOpacity: 0.5 }),
      headWords("notes a second", { dx: 12 - LEFT, dy: 11 - head, opacity: 0.85 }),
      ...(layout.instruments.length === 1 ? bands(layout) : []),
      ...valueLines(layout),
      ...columns(layout),
      ...markMarks(layout),
      ...tempoAxis(layout),
      ...foot.marks,
      Plot.ruleX([plotLeft], { strokeOpacity: 0.6 }),
    ],
  });
}

/** Behind the lines, of each technique, what lies between what can be kept up and what goes for a moment. */
function bands({ ways, width, plotLeft }: RateLayout): readonly Plot.Markish[] {
  const across = { x1: plotLeft, x2: width - RIGHT };
  const edge = (rate: "sustained" | "burst", conventional: boolean) =>
    Plot.ruleY(ways.filter((w) => w.conventional === conventional), {
      ...across,
      y: rate,
      stroke: HOLD,
      strokeOpacity: 0.7,
      strokeDasharray: !conventional ? "1 4" : rate === "burst" ? "5 3" : "none",
    });
  return [
    Plot.rect(ways, {
      ...across,
      y1: "sustained",
      y2: "burst",
      fill: HOLD,
      fillOpacity: (w: Way) => w.conventional ? 0.09 : 0.04,
      ...namedMark("bands"),
    }),
    ...[true, false].flatMap((usual) => [edge("sustained", usual), edge("burst", usual)]),
  ];
}

/** The values over the tempo, each named where it leaves the panel. */
function valueLines({ from, to, top, raised, xOf, width, mark }: RateLayout): readonly Plot.Markish[] {
  const lines = VALUES.map(([value, perQuarter]) => {
    const end = Math.min(to, top * 60 / perQuarter);
    return { value, end, low: from / 60 * perQuarter, high: end / 60 * perQuarter };
  }).filter((l) => l.end > from);
  type Line = typeof lines[number];
  const isMarked = (l: Line) => mark?.value === l.value;
  const names = lines.map((l) =>
    Plot.text([l], {
      text: "value",
      ...(isMarked(l) ? { fontWeight: 600 } : {}),
      ...(l.end < to
        ? {
          x: xOf(l.end),
          frameAnchor: "top",
          lineAnchor: "bottom",
          dy: raised.includes(l.value) ? -4 - LINE : -4,
        }
        : { x: width - RIGHT, y: "high", textAnchor: "start", dx: 6 }),
    })
  );
  return [
    Plot.link(lines, {
      x1: xOf(from),
      x2: (l: Line) => xOf(l.end),
      y1: "low",
      y2: "high",
      stroke: (l: Line) => isMarked(l) ? MARK : "currentColor",
      strokeOpacity: (l: Line) => isMarked(l) ? 1 : 0.75,
      strokeWidth: (l: Line) => isMarked(l) ? 2.2 : 1.4,
      ...namedMark("values"),
    }),
    ...names,
  ];
}

/** The techniques: full as far as they can be kept up, hatched as far as they go, their names along them. */
function columns(layout: RateLayout): readonly Plot.Markish[] {
  const { mark, ways } = layout;
  const signs: Plot.RenderFunction = (_, { y }) =>
    h(
      "g",
      {},
      ...ways.map((c) => verdictSign(verdict(c, mark!.rate), { x: c.middle, y: y!(c.burst as never) - 10 })),
    );
  return [
    ...columnBoxes(layout, true),
    ...columnBoxes(layout, false),
    ...columnNames(layout),
    ...(mark === undefined ? [] : [signs]),
  ];
}

function columnBoxes({ ways, column }: RateLayout, conventional: boolean): readonly Plot.Markish[] {
  const own = ways.filter((c) => c.conventional === conventional);
  const box = {
    x1: (c: WayColumn) => c.left + column * 0.12,
    x2: (c: WayColumn) => c.left + column * 0.88,
    stroke: HOLD,
    strokeDasharray: conventional ? "none" : "3 3",
    title: ({ instrument, technique, sustained, burst, source }: WayColumn) =>
      `${instrumentAsPrinted(instrument.id)}, ${technique}: ${figure(sustained)} a second kept up, ${
        figure(burst)
      } for a ` +
      `moment${conventional ? "" : "; advanced players only"}. Source: ${source}`,
  };
  const name = (part: string) => namedMark(`${part} ${conventional ? "conventional" : "advanced"}`);
  const fill = conventional ? HOLD : PAPER;
  return [
    Plot.rect(own, { ...box, y1: 0, y2: "sustained", fill, ...name("sustained") }),
    Plot.rect(own, { ...box, y1: "sustained", y2: "burst", fill: `url(#${BURST})`, ...name("burst") }),
  ];
}

interface NameLine extends WayColumn {
  readonly text: string;
  readonly x: number;
  readonly size: number;
  readonly isAbove: boolean;
}

/** The techniques' names along their columns: inside on one line or two, or else above; none where columns are thin. */
function columnNames(layout: RateLayout): readonly Plot.Markish[] {
  const wide = layout.column * 0.76;
  const gap = layout.mark === undefined ? 5 : 18;
  const lines = wide < 9 ? [] : layout.ways.flatMap((c) => nameLines(c, layout, { wide, gap }));
  const words = {
    x: "x",
    text: "text",
    fontSize: (n: NameLine) => n.size,
    rotate: -90,
    textAnchor: "start",
  } as const;
  const inside = { y: 0, dy: -5, fill: (n: NameLine) => n.conventional ? PAPER : INK };
  const above = { y: "burst", dy: -gap, fill: INK, stroke: PAPER, strokeWidth: 4 };
  return [
    Plot.text(lines.filter((n) => !n.isAbove), { ...words, ...inside }),
    Plot.text(lines.filter((n) => n.isAbove), { ...words, ...above }),
  ];
}

function nameLines(
  way: WayColumn,
  { top, head, height }: RateLayout,
  { wide, gap }: { readonly wide: number; readonly gap: number },
): readonly NameLine[] {
  const name = way.conventional ? way.technique : `${way.technique}, advanced`;
  const panel = height - head;
  const inside = panel * way.sustained / top - 6;
  const above = panel * (1 - way.burst / top) - gap;
  const isOneLine = (size: number, room: number) => textWidth(name, size) <= room && size <= wide;
  const two = wrapText(name, 9, inside);
  const size = [10.5, 9].find((s) => isOneLine(s, inside)) ?? 9;
  const isTwo = two.length === 2 && wide >= 20 && two.every((line) => textWidth(line, 9) <= inside);
  const isAbove = !isOneLine(size, inside) && !isTwo && isOneLine(size, above);
  const lines = isOneLine(size, inside) || isAbove ? [name] : isTwo ? two : [fitText(name, size, inside)];
  return lines.filter((text) => text !== "").map((text, i) => {
    const x = way.middle + (i - (lines.length - 1) / 2) * 10;
    return { ...way, text, x, size, isAbove };
  });
}

/** A full dot, a half one, a cross. */
function verdictSign(what: Verdict, { x, y }: { readonly x: number; readonly y: number }): SVGElement {
  const shape = what === "too slow" ? [severityShape("impossible", { x, y })] : [
    h("circle", { cx: x, cy: y, r: 5, fill: what === "keeps up" ? HOLD : PAPER, stroke: HOLD }),
    ...(what === "for a moment"
      ? [h("path", { d: `M${x - 5} ${y}A5 5 0 0 0 ${x + 5} ${y}Z`, fill: HOLD, stroke: HOLD })]
      : []),
  ];
  return h("g", { class: `verdict ${what.replaceAll(" ", "-")}` }, ...shape);
}

/** The marked tempo, and the way from it to the columns; its words, where these have room, or else the legend has them. */
function markMarks({ mark, xOf, plotLeft, width }: RateLayout): readonly Plot.Markish[] {
  if (mark === undefined) return [];
  const { rate, words, isWritten } = mark;
  const x = xOf(mark.quartersPerMinute);
  const wide = textWidth(words, 11) * BOLD;
  const isLeft = x - 10 - wide > plotLeft + 4;
  return [
    Plot.line([[LEFT, rate], [x, rate], [x, 0]], { ...DASHED, strokeLinecap: "butt" }),
    Plot.dot([rate], { x, y: rate, r: 5, fill: MARK, ...namedMark("marked") }),
    Plot.text(isWritten ? [words] : [], {
      x: isLeft ? x - 10 : Math.min(x + 10, width - RIGHT - wide),
      y: rate,
      text: () => words,
      dy: -12,
      textAnchor: isLeft ? "end" : "start",
      fontWeight: 600,
      fill: "currentColor",
      stroke: PAPER,
      strokeWidth: 4,
    }),
  ];
}

function tempoAxis({ from, to, xOf, plotWidth }: RateLayout): readonly Plot.Markish[] {
  const tempos = ticks(from, to, Math.max(2, Math.floor(plotWidth / 44)));
  const tickFormat = (_: number, i: number) => `${tempos[i]}`;
  return [
    Plot.axisX(tempos.map(xOf), { label: null, tickSize: 5, fontSize: 11, tickFormat }),
    Plot.text([fittingText(TEMPO_WORDS, 11, plotWidth)], {
      frameAnchor: "bottom-right",
      lineAnchor: "bottom",
      dy: 34,
      fillOpacity: 0.85,
    }),
  ];
}

const AT_FOOT = { frameAnchor: "bottom", lineAnchor: "bottom" } as const;

/** Below the columns: the instruments, and to what tempo the value goes. */
function columnFoot(
  layout: RateLayout,
): { readonly height: number; readonly marks: readonly Plot.Markish[] } {
  const { instruments, ways, column } = layout;
  const groups = instruments.flatMap(({ id }) => {
    const own = ways.filter((c) => c.instrument.id === id);
    if (own.length === 0) return [];
    const [from, to] = [own[0]!.left, own.at(-1)!.left + column];
    const name = instrumentAsPrinted(id);
    return [{
      name,
      from,
      to,
      middle: (from + to) / 2,
      isWide: textWidth(name, 11) <= to - from + GROUP_GAP - 4,
    }];
  });
  const slanted = groups.filter((g) => !g.isWide);
  const slant = Math.max(0, ...slanted.map((g) => textWidth(g.name, 11) * 0.62 + 12));
  const hasTempos = slant === 0 && column >= 26;
  const name = { ...AT_FOOT, x: "middle", text: "name", fontWeight: 600 } as const;
  const slope = { lineAnchor: "middle", textAnchor: "end", rotate: -38, dx: 4, dy: 12 } as const;
  return {
    height: Math.max(38, hasTempos ? 70 : slant),
    marks: [
      Plot.ruleY(groups, { x1: "from", x2: "to", y: 0, dy: 4, strokeOpacity: 0.45 }),
      Plot.text(groups.filter((g) => g.isWide), { ...name, dy: 20 }),
      Plot.text(slanted, { ...name, ...slope }),
      ...(hasTempos ? columnTempos(layout) : []),
    ],
  };
}

function columnTempos({ ways, mark, width, plotWidth }: RateLayout): readonly Plot.Markish[] {
  const value = mark?.value ?? "sixteenths";
  const tempos = (rate: "sustained" | "burst", dy: number, fillOpacity: number) => {
    const text = (c: WayColumn) => String(tempoOf(c[rate], value));
    return Plot.text(ways, { ...AT_FOOT, x: "middle", text, dy, fontSize: 10, fillOpacity });
  };
  const words = fittingText(
    [`fastest ${value}: kept up, for a moment`, `fastest ${value}`, "fastest"],
    10,
    width - RIGHT - 24 - textWidth(fittingText(TEMPO_WORDS, 11, plotWidth), 11),
  );
  return [
    tempos("sustained", 52, 1),
    tempos("burst", 66, 0.7),
    Plot.text([words], {
      ...AT_FOOT,
      frameAnchor: "bottom-left",
      textAnchor: "start",
      dx: 12 - LEFT,
      dy: 36,
      fontSize: 10,
      fillOpacity: 0.75,
    }),
  ];
}

function noteOf({ instruments, ways }: RateLayout): string {
  const silent = instruments.filter((i) => !ways.some((w) => w.instrument === i)).map((i) =>
    instrumentAsPrinted(i.id)
  );
  return [
    "Limits are guides to plan with; players and their teachers decide.",
    ...(instruments.length > 3
      ? ["Of each instrument the fastest conventional technique, and an advanced one where that is faster."]
      : []),
    ...(silent.length > 0 ? [`No figure is known for ${silent.join(", ")}.`] : []),
  ].join(" ");
}

/** What a verdict is called in the legend. */
const VERDICTS = {
  "keeps up": "reaches the mark",
  "for a moment": "reaches it briefly",
  "too slow": "does not reach it",
} as const;

function legend({ ways, mark }: RateLayout): readonly LegendEntry[] {
  const verdicts = mark === undefined ? [] : ways.map((w) => verdict(w, mark.rate));
  const dashes = { fill: "none", stroke: MARK, "stroke-width": 1.6, "stroke-dasharray": "6 3" };
  return [
    [outlined({ fill: HOLD, stroke: HOLD }), "can be kept up"],
    [outlined({ fill: `url(#${BURST})`, stroke: HOLD }), "for a moment"],
    ...(ways.some((w) => !w.conventional)
      ? [
        [
          outlined({ fill: PAPER, stroke: HOLD, "stroke-dasharray": "3 3" }),
          "advanced players only",
        ] as const,
      ]
      : []),
    ...(Object.keys(VERDICTS) as Verdict[]).filter((v) => verdicts.includes(v))
      .map((v) => [verdictSign(v, { x: 11, y: 8 }), VERDICTS[v]] as const),
    ...(mark === undefined || mark.isWritten ? [] : [[levelLine(dashes), mark.words] as const]),
  ];
}
