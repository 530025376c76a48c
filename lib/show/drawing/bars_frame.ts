/** Charts along the bars: panels below each other on one axis, passages above, bar numbers and time below. */
import * as Plot from "@observablehq/plot";
import { namedMark } from "./named_mark.ts";
import { barsInWords, barTicks } from "./bar_axis.ts";
import { type BarScale, MARGIN_RIGHT } from "./bar_scale.ts";
import { chartFrame, type FrameBlock, type FrameInput } from "./frame.ts";
import { type Chart, DOCUMENT, h, plotGroup, svgText } from "./svg.ts";
import { fitText, textWidth, withRoom, wrapText } from "./text_width.ts";

export interface BarPanel {
  /** What is measured, with its unit; written above the panel. Empty for none. */
  readonly heading: string;
  /** Height in pixels, heading not counted. */
  readonly height: number;
  /** Lower and upper end of the vertical axis. */
  readonly domain: readonly [number, number];
  /** Marks, x in bar indexes: bar b reaches from b to b + 1. */
  readonly marks: readonly Plot.Markish[];
  /** Elements of one's own, drawn over the marks in the panel's pixels. */
  readonly over?: readonly SVGElement[];
}

interface BarsFrameInput extends Omit<FrameInput, "blocks" | "width"> {
  readonly scale: BarScale;
  /** Width of the whole picture, where there is room for more right of the bars. By default that of the scale. */
  readonly outerWidth?: number;
  readonly panels: readonly BarPanel[];
}

const HEADING = 20;
const HEADING_LINE = 14;
const PASSAGES = 22;
const LINE = { stroke: "currentColor", "stroke-opacity": 0.6 };

export function barsFrame({ scale, outerWidth = scale.width, panels, ...input }: BarsFrameInput): Chart {
  return chartFrame({ ...input, width: outerWidth, blocks: barsBlocks(scale, panels) });
}

/** The pieces of a chart along the bars, from top to bottom: passages, panels, bar numbers. */
export function barsBlocks(scale: BarScale, panels: readonly BarPanel[]): readonly FrameBlock[] {
  return [
    ...(scale.axis.passages.length > 0 ? [passageStrip(scale)] : []),
    ...panels.map((panel, i) => panelBlock(scale, panel, i === 0)),
    axisStrip(scale),
  ];
}

/** Where fine lines go down through the panels: at passages, or, where none is named, at the bars numbered below. */
function guides({ axis, barsWidth }: BarScale): readonly number[] {
  if (axis.passages.length > 0) return axis.passages.map((p) => p.fromBarIndex);
  return barTicks(axis, barsWidth).map((t) => t.barIndex);
}

/** Names of passages between fine brackets. */
function passageStrip({ axis, xOf }: BarScale): FrameBlock {
  const children = axis.passages.flatMap(({ name, fromBarIndex, toBarIndex }) => {
    const left = xOf(fromBarIndex);
    const right = xOf(toBarIndex + 1);
    const d = `M${left} 20V5H${right - 2}`;
    const rule = h("path", { d, fill: "none", stroke: "currentColor", "stroke-opacity": 0.45 });
    const text = fitText(name, 11, right - left - 8);
    const title = `${name}, ${barsInWords(axis, fromBarIndex, toBarIndex)}`;
    return text === "" ? [rule] : [rule, svgText({ text, x: left + 4, y: 17, size: 11, weight: 600, title })];
  });
  return { element: h("g", { "aria-label": "passages" }, ...children), height: PASSAGES };
}

function panelBlock(scale: BarScale, panel: BarPanel, isFirst: boolean): FrameBlock {
  const { axis, marginLeft, width } = scale;
  const words = wrapText(panel.heading, 11, width - marginLeft - 4);
  const top = words.length === 0 ? (isFirst ? 0 : 8) : HEADING + (words.length - 1) * HEADING_LINE;
  const plot = Plot.plot({
    document: DOCUMENT,
    width,
    height: panel.height,
    marginLeft,
    marginRight: MARGIN_RIGHT,
    marginTop: 1,
    marginBottom: 1,
    x: { type: "linear", domain: [axis.fromBarIndex, axis.toBarIndex + 1], axis: null },
    y: { type: "linear", domain: [...panel.domain], axis: null },
    color: { type: "identity" },
    marks: [
      Plot.ruleX(guides(scale), {
        strokeOpacity: axis.passages.length > 0 ? 0.22 : 0.1,
        ...namedMark("passage-lines"),
      }),
      ...panel.marks,
    ],
  } as Plot.PlotOptions);
  const heading = words.map((text, i) =>
    svgText({ text, x: marginLeft, y: HEADING - 7 + i * HEADING_LINE, size: 11, opacity: 0.85 })
  );
  const over = h("g", { transform: `translate(0,${top})` }, ...panel.over ?? []);
  return {
    element: h("g", {}, ...heading, plotGroup(plot, { x: 0, y: top }), over),
    height: top + panel.height,
  };
}

const NUMBER_SIZE = 11;
const TIME_SIZE = 10;

/** Bar numbers, and the time of each below it: right of their ticks, or left where the picture ends, and where there is room. */
function axisStrip({ axis, marginLeft, width, barsWidth, xOf }: BarScale): FrameBlock {
  const labels = barTicks(axis, barsWidth).map((tick) => {
    const wide = Math.max(textWidth(tick.number, NUMBER_SIZE), textWidth(tick.time, TIME_SIZE));
    const tickX = xOf(tick.barIndex);
    const isAtEnd = tickX + 2 + wide > width;
    const from = isAtEnd ? tickX - 2 - wide : tickX + 2;
    const anchor = isAtEnd ? "end" as const : "start" as const;
    return { ...tick, tickX, from, to: from + wide, x: isAtEnd ? tickX - 2 : tickX + 2, anchor };
  });
  const written = new Set(withRoom(labels, (l) => [l.from, l.to]));
  const ticks = labels.flatMap((label) => {
    const { number, time, tickX, x, anchor } = label;
    const tick = h("path", { d: `M${tickX} 0V6`, ...LINE });
    if (!written.has(label)) return [tick];
    return [
      tick,
      svgText({ text: number, x, y: 15, size: NUMBER_SIZE, anchor }),
      svgText({ text: time, x, y: 28, size: TIME_SIZE, anchor, opacity: 0.62 }),
    ];
  });
  const line = h("path", { d: `M${marginLeft} 0.5H${xOf(axis.toBarIndex + 1)}`, ...LINE });
  const names = [
    svgText({ text: "bar", x: marginLeft - 8, y: 15, size: 11, anchor: "end" }),
    svgText({ text: "min:s", x: marginLeft - 8, y: 28, size: 10, anchor: "end", opacity: 0.62 }),
  ];
  return { element: h("g", { "aria-label": "bars" }, line, ...names, ...ticks), height: 34 };
}
