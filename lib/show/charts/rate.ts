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
import { INK, PAPER } from "../drawing/theme.ts";
import { valueAxis } from "../drawing/value_axis.ts";
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

/** A technique and the left edge of its column, in pixels. */
interface WayColumn extends Way {
  readonly left: number;
}

/** Where everything stands. */
interface RateLayout {
  readonly width: number;
  readonly height: number;
  readonly top: number;
  /** Room above the panel in pixels. */
  readonly head: number;
  readonly from: number;
  readonly to: number;
  readonly column: number;
  readonly plotLeft: number;
  readonly marked: RateChartOptions["marked"];
  readonly rate: number | undefined;
  readonly instruments: readonly Instrument[];
  readonly ways: readonly WayColumn[];
  /** The values whose names stand one line higher, beside others in their way. */
  readonly raised: readonly RepeatedValue[];
  readonly xOf: (quartersPerMinute: number) => number;
}

const NAME = "rate";
const MOST = 12;
const LEFT = 44;
const RIGHT = 92;
const TOP = 21;
const TEMPO_WORDS = ["tempo, quarter notes a minute", "quarters a minute", "♩ a minute", "tempo"];
/** How much wider bold type is. */
const BOLD = 1.1;
/** One line of text more above the panel, in pixels. */
const LINE = 13;
const GROUP_GAP = 14;
const HOLD = "#2f6a66";
const MARK = "#981230";
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
  const { width, height = 330, title = "How fast a note can be repeated" } = checked;
  const list = askedInstruments("rate chart", instruments, MOST);
  const layout = layoutOf(list, { ...checked, height });
  return chartFrame({
    name: NAME,
    width,
    title,
    note: noteOf(layout),
    label: `Repeated-note rates of ${list.map((i) => i.id).join(", ")}: ${
      layout.ways.map((w) => `${w.technique} ${figure(w.sustained)} to ${figure(w.burst)}`).join(", ")
    } a second`,
    legend: legend(layout),
    blocks: [
      ratePanel(layout),
      endurancePanel({ ...layout, left: LEFT, colours: { hold: HOLD, mark: MARK } }),
    ],
  });
}

function layoutOf(
  instruments: readonly Instrument[],
  options: RateChartOptions & { readonly width: number; readonly height: number },
): RateLayout {
  const { width, height, marked, fromQuartersPerMinute: from = 40, toQuartersPerMinute: to = 208 } = options;
  if (!(from > 0 && to > from)) {
    throw cannotDraw(
      "rate chart",
      `the tempo axis goes from ${from} to ${to}`,
      "Give two tempos above 0, the slower first",
    );
  }
  if (marked !== undefined) {
    const { value, quartersPerMinute } = marked;
    if (!Object.hasOwn(REPEATED_VALUES, value)) {
      throw cannotDraw(
        "rate chart",
        `"${value}" is not a value it knows`,
        `Use ${Object.keys(REPEATED_VALUES).join(", ")}`,
      );
    }
    if (!(quartersPerMinute >= from && quartersPerMinute <= to)) {
      throw cannotDraw(
        "rate chart",
        `the marked tempo is ${quartersPerMinute}`,
        `Give one from ${from} to ${to}`,
      );
    }
  }
  const ways = instruments.flatMap((i) => waysOf(i, instruments.length <= 3));
  if (ways.length === 0) {
    throw cannotDraw(
      "rate chart",
      "none of the instruments has a rate for repeated notes",
      "Give at least one that has",
    );
  }
  const rate = marked && marked.quartersPerMinute / 60 * REPEATED_VALUES[marked.value];
  const top = Math.max(16, Math.ceil((Math.max(rate ?? 0, ...ways.map((w) => w.burst)) + 1) / 2) * 2);
  const shown = instruments.filter((i) => ways.some((w) => w.instrument === i));
  const groups = shown.length;
  const column = Math.min(30, (width * 0.52 - LEFT - groups * GROUP_GAP) / ways.length);
  const plotLeft = LEFT + ways.length * column + groups * GROUP_GAP + 22;
  const xOf = (tempo: number) => plotLeft + (tempo - from) / (to - from) * (width - RIGHT - plotLeft);
  const raised = raisedNames((perQuarter) => {
    const end = top * 60 / perQuarter;
    return end > from && end < to ? xOf(end) : undefined;
  });
  const head = TOP + (raised.length > 0 ? LINE : 0);
  return {
    width,
    height,
    top,
    head,
    raised,
    from,
    to,
    column,
    plotLeft,
    marked,
    rate,
    instruments,
    ways: ways.map((way, i) => ({
      ...way,
      left: LEFT + i * column + (shown.indexOf(way.instrument) + 0.5) * GROUP_GAP,
    })),
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
      () => hatch({ id: BURST, ground: "#eef6f4", ink: HOLD, lineWidth: 1 }),
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
  const edge = (rate: "sustained" | "burst", conventional: boolean) =>
    Plot.ruleY(ways.filter((w) => w.conventional === conventional), {
      x1: plotLeft,
      x2: width - RIGHT,
      y: rate,
      stroke: HOLD,
      strokeOpacity: 0.7,
      strokeDasharray: !conventional ? "1 4" : rate === "burst" ? "5 3" : "none",
    });
  return [
    Plot.rect(ways, {
      x1: plotLeft,
      x2: width - RIGHT,
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
function valueLines({ from, to, top, raised, xOf, width, marked }: RateLayout): readonly Plot.Markish[] {
  const lines = VALUES.map(([value, perQuarter]) => {
    const end = Math.min(to, top * 60 / perQuarter);
    return { value, end, low: from / 60 * perQuarter, high: end / 60 * perQuarter };
  }).filter((l) => l.end > from);
  type Line = typeof lines[number];
  const isMarked = (l: Line) => marked?.value === l.value;
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
  const { column, rate, ways: all } = layout;
  const boxes = (conventional: boolean) => {
    const own = all.filter((c) => c.conventional === conventional);
    const box = {
      x1: (c: WayColumn) => c.left + column * 0.12,
      x2: (c: WayColumn) => c.left + column * 0.88,
      stroke: HOLD,
      strokeDasharray: conventional ? "none" : "3 3",
      title: (c: WayColumn) =>
        `${c.instrument.id}, ${c.technique}: ${figure(c.sustained)} a second kept up, ${
          figure(c.burst)
        } for a ` +
        `moment${conventional ? "" : "; advanced players only"}. Source: ${c.source}`,
    };
    const name = (part: string) => namedMark(`${part} ${conventional ? "conventional" : "advanced"}`);
    return [
      Plot.rect(own, {
        ...box,
        y1: 0,
        y2: "sustained",
        fill: conventional ? HOLD : PAPER,
        ...name("sustained"),
      }),
      Plot.rect(own, { ...box, y1: "sustained", y2: "burst", fill: `url(#${BURST})`, ...name("burst") }),
    ];
  };
  const signs: Plot.RenderFunction = (_, { y }) =>
    h(
      "g",
      {},
      ...all.map((c) =>
        verdictSign(verdict(c, rate!), { x: c.left + column / 2, y: y!(c.burst as never) - 10 })
      ),
    );
  return [
    ...boxes(true),
    ...boxes(false),
    ...columnNames(all, layout),
    ...(rate === undefined ? [] : [signs]),
  ];
}

/** A line of a technique's name. */
interface NameLine extends WayColumn {
  readonly text: string;
  readonly x: number;
  readonly size: number;
  readonly isAbove: boolean;
}

/** The techniques' names along their columns: inside on one line or two, or else above; none where columns are thin. */
function columnNames(all: readonly WayColumn[], layout: RateLayout): readonly Plot.Markish[] {
  const wide = layout.column * 0.76;
  const gap = layout.rate === undefined ? 5 : 18;
  const lines = wide < 9 ? [] : all.flatMap((c) => nameLines(c, wide, gap, layout));
  const words = {
    x: "x",
    text: "text",
    fontSize: (n: NameLine) => n.size,
    rotate: -90,
    textAnchor: "start",
  } as const;
  return [
    Plot.text(lines.filter((n) => !n.isAbove), {
      ...words,
      y: 0,
      dy: -5,
      fill: (n: NameLine) => n.conventional ? "#ffffff" : INK,
    }),
    Plot.text(lines.filter((n) => n.isAbove), {
      ...words,
      y: "burst",
      dy: -gap,
      fill: INK,
      stroke: PAPER,
      strokeWidth: 4,
    }),
  ];
}

function nameLines(
  way: WayColumn,
  wide: number,
  gap: number,
  { top, head, height, column }: RateLayout,
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
    const x = way.left + column / 2 + (i - (lines.length - 1) / 2) * 10;
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

/** The marked tempo, and the way from it to the columns. */
function markMarks(layout: RateLayout): readonly Plot.Markish[] {
  const { marked, rate, xOf, plotLeft, width } = layout;
  if (marked === undefined || rate === undefined) return [];
  const x = xOf(marked.quartersPerMinute);
  const text = markInWords(layout);
  const wide = textWidth(text, 11) * BOLD;
  const isLeft = x - 10 - wide > plotLeft + 4;
  return [
    Plot.line([[LEFT, rate], [x, rate], [x, 0]], { ...DASHED, strokeLinecap: "butt" }),
    Plot.dot([rate], { x, y: rate, r: 5, fill: MARK, ...namedMark("marked") }),
    Plot.text(hasMarkWords(layout) ? [text] : [], {
      x: isLeft ? x - 10 : Math.min(x + 10, width - RIGHT - wide),
      y: rate,
      text: () => text,
      dy: -12,
      textAnchor: isLeft ? "end" : "start",
      fontWeight: 600,
      fill: "currentColor",
      stroke: PAPER,
      strokeWidth: 4,
    }),
  ];
}

function markInWords({ marked, rate }: RateLayout): string {
  return marked === undefined || rate === undefined
    ? ""
    : `${marked.value} at ${marked.quartersPerMinute}: ${figure(rate)} a second`;
}

/** Whether the words at the mark have room beside the columns; if not, the legend has them. */
function hasMarkWords(layout: RateLayout): boolean {
  return layout.width - RIGHT - layout.plotLeft > textWidth(markInWords(layout), 11) * BOLD + 8;
}

function tempoAxis({ from, to, xOf, width, plotLeft }: RateLayout): readonly Plot.Markish[] {
  const room = width - RIGHT - plotLeft;
  const tempos = ticks(from, to, Math.max(2, Math.floor(room / 44)));
  return [
    Plot.axisX(tempos.map(xOf), {
      label: null,
      tickSize: 5,
      fontSize: 11,
      tickFormat: (_, i) => `${tempos[i]}`,
    }),
    Plot.text([fittingText(TEMPO_WORDS, 11, room)], {
      frameAnchor: "bottom-right",
      lineAnchor: "bottom",
      dy: 34,
      fillOpacity: 0.85,
    }),
  ];
}

/** Below the columns: the instruments, and to what tempo the value goes. */
function columnFoot(
  layout: RateLayout,
): { readonly height: number; readonly marks: readonly Plot.Markish[] } {
  const { instruments, ways: all, column, marked, width, plotLeft } = layout;
  const groups = instruments.flatMap(({ id }) => {
    const own = all.filter((c) => c.instrument.id === id);
    const [first, last] = [own[0], own.at(-1)];
    if (first === undefined || last === undefined) return [];
    const [from, to] = [first.left, last.left + column];
    return [{ id, from, to, isWide: textWidth(id, 11) <= to - from + GROUP_GAP - 4 }];
  });
  type Group = typeof groups[number];
  const slant = Math.max(0, ...groups.filter((g) => !g.isWide).map((g) => textWidth(g.id, 11) * 0.62 + 12));
  const hasTempos = slant === 0 && column >= 26;
  const value = marked?.value ?? "sixteenths";
  const foot = { frameAnchor: "bottom", lineAnchor: "bottom" } as const;
  const middle = { ...foot, x: (g: Group) => (g.from + g.to) / 2, text: "id", fontWeight: 600 } as const;
  const tempos = (rate: "sustained" | "burst", dy: number, fillOpacity: number) =>
    Plot.text(hasTempos ? all : [], {
      ...foot,
      x: (c: WayColumn) => c.left + column / 2,
      text: (c: WayColumn) => String(tempoOf(c[rate], value)),
      dy,
      fontSize: 10,
      fillOpacity,
    });
  const words = fittingText(
    [`fastest ${value}: kept up, for a moment`, `fastest ${value}`, "fastest"],
    10,
    width - RIGHT - 24 - textWidth(fittingText(TEMPO_WORDS, 11, width - RIGHT - plotLeft), 11),
  );
  return {
    height: Math.max(38, hasTempos ? 70 : slant),
    marks: [
      Plot.ruleY(groups, { x1: "from", x2: "to", y: 0, dy: 4, strokeOpacity: 0.45 }),
      Plot.text(groups.filter((g) => g.isWide), { ...middle, dy: 20 }),
      Plot.text(groups.filter((g) => !g.isWide), {
        ...middle,
        lineAnchor: "middle",
        textAnchor: "end",
        rotate: -38,
        dx: 4,
        dy: 12,
      }),
      tempos("sustained", 52, 1),
      tempos("burst", 66, 0.7),
      Plot.text(hasTempos ? [words] : [], {
        ...foot,
        frameAnchor: "bottom-left",
        textAnchor: "start",
        dx: 12 - LEFT,
        dy: 36,
        fontSize: 10,
        fillOpacity: 0.75,
      }),
    ],
  };
}

function noteOf({ instruments, ways }: RateLayout): string {
  const silent = instruments.filter((i) => !ways.some((w) => w.instrument === i)).map((i) => i.id);
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

function legend(layout: RateLayout): readonly LegendEntry[] {
  const { ways, rate } = layout;
  const verdicts = rate === undefined ? [] : ways.map((w) => verdict(w, rate));
  const mark = { fill: "none", stroke: MARK, "stroke-width": 1.6, "stroke-dasharray": "6 3" };
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
    ...(rate === undefined || hasMarkWords(layout) ? [] : [[levelLine(mark), markInWords(layout)] as const]),
  ];
}
