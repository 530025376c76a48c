/** Charts along the bars: panels below each other on one axis, passages above, bar numbers and time below. */
import * as Plot from "@observablehq/plot";
import { namedMark } from "./named_mark.ts";
import { type BarAxis, barsInWords, barTicks } from "./bar_axis.ts";
import { chartFrame, type FrameBlock, type FrameInput } from "./frame.ts";
import { type Chart, DOCUMENT, h, plotGroup, svgText } from "./svg.ts";
import { fitText, textWidth, wrapText } from "./text_width.ts";

/** One panel. */
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

/** What a chart along the bars is made from. */
export interface BarsFrameInput extends Omit<FrameInput, "blocks"> {
  /** The bars. */
  readonly axis: BarAxis;
  /** Room left of the bars for names or figures, in pixels. */
  readonly marginLeft: number;
  /** Width of the whole picture, where there is room for more right of the bars. By default `width`. */
  readonly outerWidth?: number;
  /** Panels from top to bottom. */
  readonly panels: readonly BarPanel[];
}

/** What the pieces of a chart along the bars need. */
export type BarsBlocksInput = Pick<BarsFrameInput, "width" | "axis" | "marginLeft" | "panels">;

/** Room right of the bars, in pixels. */
export const MARGIN_RIGHT = 16;
const HEADING = 20;
const HEADING_LINE = 14;
const PASSAGES = 22;

/** Puts a chart along the bars together. */
export function barsFrame(input: BarsFrameInput): Chart {
  return chartFrame({
    ...input,
    width: input.outerWidth ?? input.width,
    blocks: barsBlocks(input),
  });
}

/** The pieces of a chart along the bars, from top to bottom: passages, panels, bar numbers. */
export function barsBlocks(input: BarsBlocksInput): readonly FrameBlock[] {
  const { axis, panels } = input;
  const blocks: FrameBlock[] = [];
  if (axis.passages.length > 0) blocks.push(passageStrip(input));
  panels.forEach((panel, i) => blocks.push(panelBlock(input, { panel, isFirst: i === 0 })));
  blocks.push(axisStrip(input));
  return blocks;
}

/** Width of all bars of a chart in pixels. */
export function barsWidth(input: Pick<BarsFrameInput, "width" | "marginLeft">): number {
  return input.width - input.marginLeft - MARGIN_RIGHT;
}

function xOf(input: BarsBlocksInput): (bar: number) => number {
  const { fromBarIndex, toBarIndex } = input.axis;
  return (bar) =>
    input.marginLeft + (bar - fromBarIndex) / (toBarIndex + 1 - fromBarIndex) * barsWidth(input);
}

/** Where fine lines go down through the panels: at passages, or, where none is named, at the bars numbered below. */
function guides(input: BarsBlocksInput): readonly number[] {
  const { axis } = input;
  if (axis.passages.length > 0) return axis.passages.map((p) => p.fromBarIndex);
  return barTicks(axis, barsWidth(input)).map((t) => t.barIndex);
}

/** Names of passages between fine brackets. */
function passageStrip(input: BarsBlocksInput): FrameBlock {
  const x = xOf(input);
  const children = input.axis.passages.flatMap(({ name, fromBarIndex, toBarIndex }) => {
    const left = x(fromBarIndex);
    const right = x(toBarIndex + 1);
    const rule = h("path", {
      d: `M${left} 20V5H${right - 2}`,
      fill: "none",
      stroke: "currentColor",
      "stroke-opacity": 0.45,
    });
    const text = fitText(name, 11, right - left - 8);
    const hover = `${name}, ${barsInWords(input.axis, fromBarIndex, toBarIndex)}`;
    return text === ""
      ? [rule]
      : [rule, svgText({ text, x: left + 4, y: 17, size: 11, weight: 600, title: hover })];
  });
  return {
    element: h("g", { "aria-label": "passages" }, ...children),
    height: PASSAGES,
  };
}

function panelBlock(
  input: BarsBlocksInput,
  { panel, isFirst }: { readonly panel: BarPanel; readonly isFirst: boolean },
): FrameBlock {
  const { axis, marginLeft, width } = input;
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
      Plot.ruleX(guides(input), {
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
/** Pixels between the label of one bar and that of the next, at least. */
const LABEL_GAP = 4;

/** The labels stand right of their ticks, or left where the picture ends; one that would touch the one before goes. */
function axisLabels(input: BarsBlocksInput) {
  const x = xOf(input);
  let taken = -Infinity;
  return barTicks(input.axis, barsWidth(input)).map((tick) => {
    const width = Math.max(textWidth(tick.number, NUMBER_SIZE), textWidth(tick.time, TIME_SIZE));
    const isAtEnd = x(tick.barIndex) + 2 + width > input.width;
    const left = isAtEnd ? x(tick.barIndex) - 2 - width : x(tick.barIndex) + 2;
    const fits = left >= taken + LABEL_GAP;
    if (fits) taken = left + width;
    return {
      ...tick,
      labelX: isAtEnd ? x(tick.barIndex) - 2 : x(tick.barIndex) + 2,
      anchor: isAtEnd ? "end" as const : "start" as const,
      fits,
    };
  });
}

/** Bar numbers, and the time of each below it. */
function axisStrip(input: BarsBlocksInput): FrameBlock {
  const x = xOf(input);
  const { axis, marginLeft } = input;
  const children = axisLabels(input).flatMap(({ barIndex, number, time, labelX, anchor, fits }) => [
    h("path", { d: `M${x(barIndex)} 0V6`, stroke: "currentColor", "stroke-opacity": 0.6 }),
    ...(fits
      ? [
        svgText({ text: number, x: labelX, y: 15, size: NUMBER_SIZE, anchor }),
        svgText({ text: time, x: labelX, y: 28, size: TIME_SIZE, anchor, opacity: 0.62 }),
      ]
      : []),
  ]);
  const line = h("path", {
    d: `M${marginLeft} 0.5H${x(axis.toBarIndex + 1)}`,
    stroke: "currentColor",
    "stroke-opacity": 0.6,
  });
  const names = [
    svgText({ text: "bar", x: marginLeft - 8, y: 15, size: 11, anchor: "end" }),
    svgText({ text: "min:s", x: marginLeft - 8, y: 28, size: 10, anchor: "end", opacity: 0.62 }),
  ];
  return {
    element: h("g", { "aria-label": "bars" }, line, ...names, ...children),
    height: 34,
  };
}
