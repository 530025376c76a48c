import * as Plot from "@observablehq/plot";
// @ts-types="@types/d3-array"
import { nice, ticks } from "d3-array";
import type { ChoiceEffect, Effects, LevelEffect } from "../../../measures/compare/effects.ts";
import { cannotDraw, type ChartOptions, checkedOptions } from "../../drawing/chart_options.ts";
import { columnDecimals, columnUnit, columnWords } from "../../drawing/column_words.ts";
import { chartFrame, type FrameBlock } from "../../drawing/frame.ts";
import { namedMark } from "../../drawing/named_mark.ts";
import { plotBlock } from "../../drawing/plot_block.ts";
import { headWords, rowNames } from "../../drawing/plot_texts.ts";
import { type Chart, h } from "../../drawing/svg.ts";
import { fitText, textWidth } from "../../drawing/text_width.ts";
import { hue, PAPER } from "../../drawing/theme.ts";
import { levelAxis } from "../../drawing/value_axis.ts";
import { counted, figure, percent } from "../../drawing/words.ts";
import { effectsTitle } from "../../titles/comparison_titles.ts";

const NAME = "effects";
const SIDE = 12;
const ROW = 20;
const BETWEEN = 12;
const HEAD = 42;
/** Narrower pictures have the means below the shares instead of beside them. */
const BESIDE_FROM = 620;
/** Size at which bold type of 12 pixels is measured. */
const BOLD_SIZE = 12.8;
const BOLD = { size: 12, weight: 600 };
/** Room right of the shares and of the means for their figures, in pixels. */
const PERCENT_ROOM = 44;
const FIGURE_ROOM = 48;
/** One fill for shares and one ink for means: length and place tell, not colour. */
const BAR = hue("blue");
const DOT = hue("teal");

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
    throw cannotDraw("effects chart", "it was not given effects", "Give what effects() returns");
  }
  const { of, whole, perChoice, perLevel } = effects;
  const rowHeight = height === undefined
    ? ROW
    : Math.max(14, (height - HEAD - perChoice.length * BETWEEN) / Math.max(1, perLevel.length));
  const measure = columnWords(of);
  const left = whole.leftOut === 0 ? "" : `, ${whole.leftOut} more left out`;
  const shares = perChoice.map((c) => `${columnWords(c.choice)} ${percent(c.share)}`);
  return chartFrame({
    name: NAME,
    width,
    title: title ?? effectsTitle(effects),
    note: `${counted(whole.settings, "setting")}${left}. ` +
      `${percent(whole.combinations)} of the differences hang on how choices are combined.`,
    label: `Share of the differences in ${measure} that each choice explains: ${shares.join(", ")}`,
    legend: [],
    blocks: drawing(effects, width, rowHeight),
  });
}

/** Shares and means, beside each other or, in narrow pictures, below. */
function drawing(effects: Effects, width: number, rowHeight: number): readonly FrameBlock[] {
  const { perChoice, perLevel } = effects;
  const isStacked = width < BESIDE_FROM;
  const widest = (texts: readonly string[], size: number) =>
    Math.max(...texts.map((t) => textWidth(t, size)));
  const choiceRoom = Math.min(
    width * (isStacked ? 0.4 : 0.16),
    widest(perChoice.map((c) => columnWords(c.choice)), BOLD_SIZE) + 14,
  );
  const levelRoom = Math.min(
    width * (isStacked ? 0.4 : 0.26),
    widest(perLevel.map((l) => String(l.level)), 11) + 16,
  );
  const shareLeft = SIDE + choiceRoom;
  if (isStacked) {
    const choices = groupsOf(perChoice, [], { rowHeight, before: ROW, after: 0 });
    const groups = groupsOf(perChoice, perLevel, { rowHeight, before: ROW, after: BETWEEN / 2 });
    const right = width - SIDE - PERCENT_ROOM;
    return [
      sharesBlock(choices, { left: shareLeft, right, head: 20, headLeft: SIDE }),
      meansBlock(effects, groups, { width, left: SIDE + levelRoom, levelRoom, headLeft: SIDE }),
    ];
  }
  const right = shareLeft + width * 0.2;
  const left = right + 52 + levelRoom;
  const groups = groupsOf(perChoice, perLevel, { rowHeight, before: 0, after: BETWEEN });
  const shares = sharesBlock(groups, { left: shareLeft, right, head: HEAD, headLeft: shareLeft });
  const means = meansBlock(effects, groups, { width, left, levelRoom, headLeft: left });
  return [{ element: h("g", {}, shares.element, means.element), height: means.height }];
}

/** A choice and its values, with their places in pixels from the first row down. */
interface ChoiceGroup extends ChoiceEffect {
  readonly top: number;
  readonly middle: number;
  readonly end: number;
  readonly rows: readonly (LevelEffect & { readonly y: number })[];
}

/** Puts choices below each other, each with room for its values, and for more before and after them. */
function groupsOf(
  perChoice: readonly ChoiceEffect[],
  perLevel: readonly LevelEffect[],
  { rowHeight, before, after }: {
    readonly rowHeight: number;
    readonly before: number;
    readonly after: number;
  },
): readonly ChoiceGroup[] {
  let end = -after;
  return perChoice.map((choice) => {
    const top = end + after;
    const own = perLevel.filter((l) => l.choice === choice.choice);
    const rows = own.map((l, i) => ({ ...l, y: top + before + (i + 0.5) * rowHeight }));
    end = top + before + own.length * rowHeight;
    return { ...choice, top, middle: (top + end) / 2, end, rows };
  });
}

interface PanelPlace {
  readonly left: number;
  readonly right: number;
  readonly head: number;
  readonly headLeft: number;
}

/** The share of all differences that each choice explains. */
function sharesBlock(
  groups: readonly ChoiceGroup[],
  { left, right, head, headLeft }: PanelPlace,
): FrameBlock {
  const end = groups.at(-1)?.end ?? 0;
  return plotBlock({
    width: right,
    height: head + end + 14,
    marginLeft: left,
    marginTop: head,
    marginBottom: 14,
    x: { domain: [0, 1] },
    y: { domain: [end, 0] },
    marks: [
      headWords("Share explained", { dx: headLeft - left, dy: 12 - head, ...BOLD }),
      rowNames(groups, {
        y: "middle",
        nameOf: (g: ChoiceGroup) => columnWords(g.choice),
        room: left - SIDE - 10,
        ...BOLD,
      }),
      Plot.rect(groups, {
        x1: 0,
        x2: "share",
        y1: (g: ChoiceGroup) => g.middle - 7,
        y2: (g: ChoiceGroup) => g.middle + 7,
        fill: BAR,
        title: ({ choice, share, ownShare }: ChoiceGroup) =>
          `${columnWords(choice)} explains ${percent(share)} of the differences; ${
            percent(ownShare)
          } that nothing else explains`,
        ...namedMark("shares"),
      }),
      Plot.ruleX(groups, {
        x: 0,
        y1: (g: ChoiceGroup) => g.middle - 10,
        y2: (g: ChoiceGroup) => g.middle + 10,
        strokeOpacity: 0.5,
      }),
      Plot.text(groups, {
        x: "share",
        y: "middle",
        text: (g: ChoiceGroup) => percent(g.share),
        textAnchor: "start",
        dx: 5,
      }),
    ],
  });
}

interface MeansPlace {
  readonly width: number;
  readonly left: number;
  readonly levelRoom: number;
  readonly headLeft: number;
}

/** The mean of each value with its interval, all on one scale with round values at both ends. */
function meansBlock(
  { of, whole }: Effects,
  groups: readonly ChoiceGroup[],
  { width, left, levelRoom, headLeft }: MeansPlace,
): FrameBlock {
  const levels = groups.flatMap((g) => g.rows);
  const lowest = Math.min(...levels.map((l) => l.low));
  const highest = Math.max(...levels.map((l) => l.high));
  const slack = highest > lowest ? 0 : 1;
  const most = Math.max(2, Math.min(5, Math.floor((width - left - SIDE - FIGURE_ROOM) / 60)));
  const domain = nice(lowest - slack, highest + slack, most);
  const decimals = columnDecimals(of, Math.max(Math.abs(lowest), Math.abs(highest)));
  const end = (groups.at(-1)?.end ?? 0) + 4;
  const room = width - headLeft - SIDE;
  const dx = headLeft - left;
  return plotBlock({
    width,
    height: HEAD + end + 22,
    marginLeft: left,
    marginRight: SIDE + FIGURE_ROOM,
    marginTop: HEAD - 4,
    marginBottom: 22,
    x: { domain },
    y: { domain: [end, -4] },
    marks: [
      headWords(fitText(`Mean ${columnWords(of)}`, BOLD_SIZE, room), { dx, dy: -26, ...BOLD }),
      headWords(fitText(columnUnit(of), 10, room), { dx, dy: -13, size: 10, opacity: 0.68 }),
      ...levelAxis(ticks(domain[0], domain[1], most)),
      Plot.ruleX([whole.mean], {
        strokeOpacity: 0.7,
        strokeDasharray: "2 3",
        title: (mean: number) => `mean of all: ${figure(mean, decimals)}`,
      }),
      Plot.text(headLeft < left ? groups : [], {
        y: (g: ChoiceGroup) => g.top + ROW / 2,
        frameAnchor: "left",
        textAnchor: "start",
        dx,
        text: (g: ChoiceGroup) => fitText(columnWords(g.choice), BOLD_SIZE, room),
        fontSize: 12,
        fontWeight: 600,
      }),
      rowNames(levels, { y: "y", nameOf: (l) => String(l.level), room: levelRoom - 12 }),
      ...meanMarks(levels, (value) => figure(value, decimals)),
    ],
  });
}

/** A dot for each mean, its interval as a line with tips, and the figure beside it. */
function meanMarks(
  levels: ChoiceGroup["rows"],
  figureOf: (value: number) => string,
): readonly Plot.Markish[] {
  const interval = { stroke: DOT, strokeWidth: 1.5 } as const;
  const tip = { ...interval, y1: (l: { y: number }) => l.y - 3, y2: (l: { y: number }) => l.y + 3 };
  return [
    Plot.ruleY(levels, { ...interval, y: "y", x1: "low", x2: "high", ...namedMark("intervals") }),
    Plot.ruleX(levels, { ...tip, x: "low" }),
    Plot.ruleX(levels, { ...tip, x: "high" }),
    Plot.dot(levels, {
      x: "mean",
      y: "y",
      r: 4,
      fill: DOT,
      title: ({ level, mean, low, high, settings }: LevelEffect) =>
        `${level}: ${figureOf(mean)} on average over ${counted(settings, "setting")}, interval ${
          figureOf(low)
        } to ${figureOf(high)}`,
      ...namedMark("means"),
    }),
    Plot.text(levels, {
      x: "high",
      y: "y",
      text: (l: LevelEffect) => figureOf(l.mean),
      textAnchor: "start",
      dx: 7,
      fontSize: 10,
      fill: "currentColor",
      stroke: PAPER,
      strokeWidth: 4,
    }),
  ];
}
