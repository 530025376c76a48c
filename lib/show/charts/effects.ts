import { InputError } from "../../errors.ts";
import type { ChoiceEffect, Effects, LevelEffect } from "../../measures/effects.ts";
import { type ChartOptions, checkedOptions } from "../chart_options.ts";
import { columnDecimals, columnUnit, columnWords } from "../column_words.ts";
import { chartDocument } from "../document.ts";
import { chartFrame, type FrameBlock } from "../frame.ts";
import { type Chart, svgElement, svgText } from "../svg.ts";
import { fitText, textWidth } from "../text_width.ts";
import { roundValues } from "../value_axis.ts";
import { capitalised, counted, figure, percent } from "../words.ts";

const NAME = "effects";
const SIDE = 12;
const ROW = 20;
const BETWEEN = 12;
const HEAD = 42;
/** One fill for shares and one ink for means: length and place tell, not colour. */
const BAR = "#2e95b3";
const DOT = "#12454f";

/**
 * How much each choice matters: at the left the share of all differences it explains, at the right the mean of each of
 * its values with its interval, all on one scale; a line marks the mean of all settings.
 *
 * @param effects what `effects` returns
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when it is something else, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { chartSvg, effects, effectsChart } from "ripieno";
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
  const { of, whole, perChoice, perLevel, width, rowHeight } = input;
  const choiceRoom = Math.min(
    width * 0.16,
    Math.max(...perChoice.map((c) => textWidth(columnWords(c.choice), 12.8))) + 14,
  );
  const shareLeft = SIDE + choiceRoom;
  const shareWidth = width * 0.2;
  const levelRoom = Math.min(
    width * 0.26,
    Math.max(...perLevel.map((l) => textWidth(String(l.level), 11))) + 16,
  );
  const meansLeft = shareLeft + shareWidth + 52 + levelRoom;
  const meansWidth = width - meansLeft - SIDE - 48;
  const lowest = Math.min(...perLevel.map((l) => l.low));
  const highest = Math.max(...perLevel.map((l) => l.high));
  const pad = (highest - lowest) * 0.04 || 1;
  const xOf = (value: number) =>
    meansLeft + (value - lowest + pad) / (highest - lowest + 2 * pad) * meansWidth;
  const decimals = columnDecimals(of, Math.max(Math.abs(lowest), Math.abs(highest)));

  const children: SVGElement[] = [
    svgText(document, { text: "Share explained", x: shareLeft, y: 12, size: 12, weight: 600 }),
    svgText(document, { text: `Mean ${columnWords(of)}`, x: meansLeft, y: 12, size: 12, weight: 600 }),
    svgText(document, {
      text: fitText(columnUnit(of), 10, meansWidth),
      x: meansLeft,
      y: 25,
      size: 10,
      opacity: 0.68,
    }),
  ];
  const marks: SVGElement[] = [];
  let y = HEAD;
  for (const choice of perChoice) {
    const levels = perLevel.filter((l) => l.choice === choice.choice);
    const middle = y + levels.length * rowHeight / 2;
    marks.push(
      svgText(document, {
        text: fitText(columnWords(choice.choice), 12.8, choiceRoom - 10),
        x: shareLeft - 10,
        y: middle + 4,
        size: 12,
        anchor: "end",
        weight: 600,
      }),
      ...shareMarks(document, choice, { x: shareLeft, middle, width: shareWidth }),
    );
    levels.forEach((level, i) => {
      const at = y + (i + 0.5) * rowHeight;
      marks.push(...levelMarks(document, level, { at, xOf, right: meansLeft, levelRoom, decimals }));
    });
    y += levels.length * rowHeight + BETWEEN;
  }
  const end = y - BETWEEN + 4;
  for (const value of roundValues(lowest, highest, 6)) {
    children.push(
      svgElement(document, {
        tag: "path",
        attributes: {
          d: `M${xOf(value)} ${HEAD - 4}V${end}`,
          stroke: "currentColor",
          "stroke-opacity": 0.12,
          class: "grid",
        },
      }),
      svgText(document, {
        text: figure(value, Number.isInteger(value) ? 0 : decimals),
        x: xOf(value),
        y: end + 14,
        size: 10,
        anchor: "middle",
        opacity: 0.72,
      }),
    );
  }
  children.push(svgElement(document, {
    tag: "path",
    attributes: {
      d: `M${xOf(whole.mean)} ${HEAD - 4}V${end}`,
      stroke: "currentColor",
      "stroke-opacity": 0.7,
      "stroke-dasharray": "2 3",
    },
    children: [
      svgElement(document, {
        tag: "title",
        attributes: {},
        children: [`mean of all: ${figure(whole.mean, decimals)}`],
      }),
    ],
  }));
  return {
    element: svgElement(document, { tag: "g", attributes: {}, children: [...children, ...marks] }),
    height: end + 22,
  };
}

function shareMarks(
  document: Document,
  { choice, share, ownShare }: ChoiceEffect,
  place: { readonly x: number; readonly middle: number; readonly width: number },
): readonly SVGElement[] {
  return [
    svgElement(document, {
      tag: "rect",
      attributes: {
        x: place.x,
        y: place.middle - 7,
        width: Math.max(0.5, share * place.width),
        height: 14,
        fill: BAR,
        class: "share",
      },
      children: [svgElement(document, {
        tag: "title",
        attributes: {},
        children: [
          `${columnWords(choice)} explains ${percent(share)} of the differences; ${
            percent(ownShare)
          } that nothing else explains`,
        ],
      })],
    }),
    svgElement(document, {
      tag: "path",
      attributes: { d: `M${place.x} ${place.middle - 10}v20`, stroke: "currentColor", "stroke-opacity": 0.5 },
    }),
    svgText(document, { text: percent(share), x: place.x + share * place.width + 5, y: place.middle + 4 }),
  ];
}

function levelMarks(
  document: Document,
  { level, mean, low, high, settings }: LevelEffect,
  { at, xOf, right, levelRoom, decimals }: {
    readonly at: number;
    readonly xOf: (value: number) => number;
    readonly right: number;
    readonly levelRoom: number;
    readonly decimals: number;
  },
): readonly SVGElement[] {
  const words = `${level}: ${figure(mean, decimals)} on average over ${
    counted(settings, "setting")
  }, interval ${figure(low, decimals)} to ${figure(high, decimals)}`;
  return [
    svgText(document, {
      text: fitText(String(level), 11, levelRoom - 12),
      x: right - 10,
      y: at + 4,
      anchor: "end",
      title: String(level),
    }),
    svgElement(document, {
      tag: "path",
      attributes: {
        d: `M${xOf(low)} ${at}H${xOf(high)}M${xOf(low)} ${at - 3}v6M${xOf(high)} ${at - 3}v6`,
        stroke: DOT,
        "stroke-width": 1.5,
      },
    }),
    svgElement(document, {
      tag: "circle",
      attributes: { cx: xOf(mean), cy: at, r: 4, fill: DOT, class: "mean" },
      children: [svgElement(document, { tag: "title", attributes: {}, children: [words] })],
    }),
    svgText(document, { text: figure(mean, decimals), x: xOf(high) + 7, y: at + 4, size: 10 }),
  ];
}
