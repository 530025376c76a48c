import { ticks } from "d3-array";
import { InputError } from "../../base/errors.ts";
import type { ChoiceEffect, Effects, LevelEffect } from "../../measures/compare/effects.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { columnDecimals, columnUnit, columnWords } from "../drawing/column_words.ts";
import { chartDocument } from "../drawing/chart_document.ts";
import { chartFrame, type FrameBlock } from "../drawing/frame.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth } from "../drawing/text_width.ts";
import { capitalised, counted, figure, percent } from "../drawing/words.ts";

const NAME = "effects";
const SIDE = 12;
const ROW = 20;
const BETWEEN = 12;
const HEAD = 42;
/** Narrower pictures have the means below the shares instead of beside them. */
const BESIDE_FROM = 620;
/** Size at which bold type of 12 pixels is measured. */
const BOLD_SIZE = 12.8;
/** Room right of the shares and of the means for their figures, in pixels. */
const PERCENT_ROOM = 44;
const FIGURE_ROOM = 48;
/** One fill for shares and one ink for means: length and place tell, not colour. */
const BAR = "#2e95b3";
const DOT = "#12454f";

/**
 * How much each choice matters: at the left (in narrow pictures on top) the share of all differences it explains, at the
 * right (below) the mean of each of its values with its interval, all on one scale; a line marks the mean of all settings.
 *
 * @param effects what `effects` returns
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when it is something else, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { effects } from "ripieno";
 * import { chartSvg, effectsChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const rows = [1, 2, 3, 4].map((v) => ({ who: v % 2 ? "horns" : "violas", tempo: v < 3 ? 60 : 90, momentum: v }));
 * assertStringIncludes(chartSvg(effectsChart(effects(rows, { of: "momentum" }))), "violas");
 * ```
 */
export function effectsChart(effects: Effects, options: ChartOptions = {}): Chart {
  const { width, height, title } = checkedOptions("effects chart", options);
  if (!Array.isArray(effects?.perChoice) || !Array.isArray(effects.perLevel)) {
    throw new InputError({
      action: "draw the effects chart",
      problem: "it was not given effects",
      remedy: "Give what effects() returns",
    });
  }
  const { of, whole, perChoice, perLevel } = effects;
  const document = chartDocument();
  const rows = perLevel.length;
  const rowHeight = height === undefined
    ? ROW
    : Math.max(14, (height - HEAD - perChoice.length * BETWEEN) / Math.max(1, rows));
  const measure = columnWords(of);
  return chartFrame(document, {
    name: NAME,
    width,
    title: title ?? `What matters for ${measure}`,
    note:
      `${counted(whole.settings, "setting")}${
        whole.leftOut === 0 ? "" : `, ${whole.leftOut} more left out`
      }. ` +
      `${capitalised(percent(whole.combinations))} of the differences hang on how choices are combined.`,
    label: `Share of the differences in ${measure} that each choice explains: ${
      perChoice.map((c) => `${columnWords(c.choice)} ${percent(c.share)}`).join(", ")
    }`,
    legend: [],
    blocks: [drawing(document, { of, whole, perChoice, perLevel, width, rowHeight })],
  });
}

interface Drawing extends Pick<Effects, "of" | "whole" | "perChoice" | "perLevel"> {
  readonly width: number;
  readonly rowHeight: number;
}

function drawing(document: Document, input: Drawing): FrameBlock {
  const { perChoice, perLevel, width } = input;
  const isStacked = width < BESIDE_FROM;
  const choiceRoom = Math.min(
    width * (isStacked ? 0.4 : 0.16),
    Math.max(...perChoice.map((c) => textWidth(columnWords(c.choice), BOLD_SIZE))) + 14,
  );
  const levelRoom = Math.min(
    width * (isStacked ? 0.4 : 0.26),
    Math.max(...perLevel.map((l) => textWidth(String(l.level), 11))) + 16,
  );
  const shareLeft = SIDE + choiceRoom;
  const shareWidth = isStacked ? width - shareLeft - SIDE - PERCENT_ROOM : width * 0.2;
  const meansLeft = isStacked ? SIDE + levelRoom : shareLeft + shareWidth + 52 + levelRoom;
  const scale = scaleOf(input, { meansLeft, meansWidth: width - meansLeft - SIDE - FIGURE_ROOM });
  const place = { shareLeft, shareWidth, choiceRoom, levelRoom, meansLeft };
  return isStacked
    ? stacked(document, input, { ...place, ...scale })
    : beside(document, input, { ...place, ...scale });
}

/** Where everything stands. */
interface Layout extends Scale {
  readonly shareLeft: number;
  readonly shareWidth: number;
  readonly choiceRoom: number;
  readonly levelRoom: number;
  readonly meansLeft: number;
}

/** The axis of the means. */
interface Scale {
  readonly xOf: (value: number) => number;
  readonly values: readonly number[];
  readonly decimals: number;
}

/** An axis with round values at both ends, so that none of the means lies outside them. */
function scaleOf(
  { of, perLevel }: Drawing,
  { meansLeft, meansWidth }: { readonly meansLeft: number; readonly meansWidth: number },
): Scale {
  const lowest = Math.min(...perLevel.map((l) => l.low));
  const highest = Math.max(...perLevel.map((l) => l.high));
  const reach = highest - lowest || 2;
  const ends = [highest + lowest - reach, highest + lowest + reach].map((v) => v / 2) as [number, number];
  const most = Math.max(2, Math.min(6, Math.floor(meansWidth / 60)));
  const [first = 0, second = 1] = ticks(ends[0], ends[0] + 2 * reach, 2 * most);
  const step = second - first;
  const [from, to] = [Math.floor(ends[0] / step + 1e-9), Math.ceil(ends[1] / step - 1e-9)];
  const values = Array.from({ length: to - from + 1 }, (_, k) => Number(((from + k) * step).toFixed(9)));
  return {
    xOf: (value) => meansLeft + (value / step - from) / (to - from) * meansWidth,
    values,
    decimals: columnDecimals(of, Math.max(Math.abs(lowest), Math.abs(highest))),
  };
}

/** Shares at the left, means at the right, choice by choice. */
function beside(document: Document, input: Drawing, layout: Layout): FrameBlock {
  const { of, perChoice, perLevel, rowHeight, width } = input;
  const { shareLeft, shareWidth, choiceRoom, meansLeft } = layout;
  const marks: SVGElement[] = [];
  let y = HEAD;
  for (const choice of perChoice) {
    const levels = perLevel.filter((l) => l.choice === choice.choice);
    const middle = y + levels.length * rowHeight / 2;
    marks.push(
      choiceName(document, choice.choice, { x: shareLeft - 10, y: middle + 4, room: choiceRoom - 10 }),
      ...shareMarks(document, choice, { x: shareLeft, middle, width: shareWidth }),
      ...levels.flatMap((level, i) =>
        levelMarks(document, level, { ...layout, at: y + (i + 0.5) * rowHeight })
      ),
    );
    y += levels.length * rowHeight + BETWEEN;
  }
  const end = y - BETWEEN + 4;
  return {
    element: h(
      document,
      "g",
      {},
      svgText(document, { text: "Share explained", x: shareLeft, y: 12, size: 12, weight: 600 }),
      ...meansHead(document, of, { x: meansLeft, y: 12, room: width - meansLeft - SIDE }),
      ...axisMarks(document, input, { ...layout, top: HEAD - 4, end }),
      ...marks,
    ),
    height: end + 22,
  };
}

/** In narrow pictures the shares on top, and below them the means over the whole width. */
function stacked(document: Document, input: Drawing, layout: Layout): FrameBlock {
  const { of, perChoice, perLevel, rowHeight, width } = input;
  const { shareLeft, shareWidth, choiceRoom } = layout;
  const marks: SVGElement[] = [];
  perChoice.forEach((choice, i) => {
    const middle = 20 + (i + 0.5) * ROW;
    marks.push(
      choiceName(document, choice.choice, { x: shareLeft - 10, y: middle + 4, room: choiceRoom - 10 }),
      ...shareMarks(document, choice, { x: shareLeft, middle, width: shareWidth }),
    );
  });
  const below = 20 + perChoice.length * ROW + 14;
  let y = below + HEAD - 8;
  for (const { choice } of perChoice) {
    const levels = perLevel.filter((l) => l.choice === choice);
    marks.push(
      svgText(document, {
        text: fitText(columnWords(choice), BOLD_SIZE, width - 2 * SIDE),
        x: SIDE,
        y: y + 14,
        size: 12,
        weight: 600,
      }),
    );
    y += ROW;
    levels.forEach((level, i) => {
      marks.push(...levelMarks(document, level, { ...layout, at: y + (i + 0.5) * rowHeight }));
    });
    y += levels.length * rowHeight + BETWEEN / 2;
  }
  const end = y - BETWEEN / 2 + 4;
  return {
    element: h(
      document,
      "g",
      {},
      svgText(document, { text: "Share explained", x: SIDE, y: 12, size: 12, weight: 600 }),
      ...meansHead(document, of, { x: SIDE, y: below + 12, room: width - 2 * SIDE }),
      ...axisMarks(document, input, { ...layout, top: below + HEAD - 8, end }),
      ...marks,
    ),
    height: end + 22,
  };
}

function choiceName(
  document: Document,
  choice: string,
  { x, y, room }: { readonly x: number; readonly y: number; readonly room: number },
): SVGElement {
  const text = fitText(columnWords(choice), BOLD_SIZE, room);
  return svgText(document, { text, x, y, size: 12, anchor: "end", weight: 600, title: columnWords(choice) });
}

/** What the means are of, and their unit. */
function meansHead(
  document: Document,
  of: string,
  { x, y, room }: { readonly x: number; readonly y: number; readonly room: number },
): readonly SVGElement[] {
  const head = fitText(`Mean ${columnWords(of)}`, BOLD_SIZE, room);
  return [
    svgText(document, { text: head, x, y, size: 12, weight: 600 }),
    svgText(document, { text: fitText(columnUnit(of), 10, room), x, y: y + 13, size: 10, opacity: 0.68 }),
  ];
}

/** Fine lines and figures at round values, and a dotted line at the mean of all. */
function axisMarks(
  document: Document,
  { whole }: Drawing,
  { xOf, values, decimals, top, end }: Scale & { readonly top: number; readonly end: number },
): readonly SVGElement[] {
  const line = (value: number, attributes: Readonly<Record<string, string | number>>, hover: string) =>
    h(
      document,
      "path",
      { d: `M${xOf(value)} ${top}V${end}`, stroke: "currentColor", ...attributes },
      ...(hover === "" ? [] : [h(document, "title", {}, hover)]),
    );
  const isWhole = values.every(Number.isInteger);
  return [
    ...values.flatMap((value) => [
      line(value, { "stroke-opacity": 0.12, class: "grid" }, ""),
      svgText(document, {
        text: figure(value, isWhole ? 0 : decimals),
        x: xOf(value),
        y: end + 14,
        size: 10,
        anchor: "middle",
        opacity: 0.72,
      }),
    ]),
    line(
      whole.mean,
      { "stroke-opacity": 0.7, "stroke-dasharray": "2 3" },
      `mean of all: ${figure(whole.mean, decimals)}`,
    ),
  ];
}

function shareMarks(
  document: Document,
  { choice, share, ownShare }: ChoiceEffect,
  place: { readonly x: number; readonly middle: number; readonly width: number },
): readonly SVGElement[] {
  return [
    h(document, "rect", {
      x: place.x,
      y: place.middle - 7,
      width: Math.max(0.5, share * place.width),
      height: 14,
      fill: BAR,
      class: "share",
      title: `${columnWords(choice)} explains ${percent(share)} of the differences; ${
        percent(ownShare)
      } that nothing else explains`,
    }),
    h(document, "path", {
      d: `M${place.x} ${place.middle - 10}v20`,
      stroke: "currentColor",
      "stroke-opacity": 0.5,
    }),
    svgText(document, { text: percent(share), x: place.x + share * place.width + 5, y: place.middle + 4 }),
  ];
}

function levelMarks(
  document: Document,
  { level, mean, low, high, settings }: LevelEffect,
  { at, xOf, meansLeft, levelRoom, decimals }: Layout & { readonly at: number },
): readonly SVGElement[] {
  const words = `${level}: ${figure(mean, decimals)} on average over ${
    counted(settings, "setting")
  }, interval ${figure(low, decimals)} to ${figure(high, decimals)}`;
  return [
    svgText(document, {
      text: fitText(String(level), 11, levelRoom - 12),
      x: meansLeft - 10,
      y: at + 4,
      anchor: "end",
      title: String(level),
    }),
    h(document, "path", {
      d: `M${xOf(low)} ${at}H${xOf(high)}M${xOf(low)} ${at - 3}v6M${xOf(high)} ${at - 3}v6`,
      stroke: DOT,
      "stroke-width": 1.5,
    }),
    h(document, "circle", { cx: xOf(mean), cy: at, r: 4, fill: DOT, class: "mean", title: words }),
    svgText(document, { text: figure(mean, decimals), x: xOf(high) + 7, y: at + 4, size: 10, halo: true }),
  ];
}
