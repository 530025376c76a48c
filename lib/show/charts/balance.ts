import { A_BALANCE, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import { namedMark } from "../drawing/named_mark.ts";
import { BALANCE_CAUTION } from "../drawing/balance_caution.ts";
import type { Balance, BalanceBar } from "../../measures/balance/balance_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows, barsInWords } from "../drawing/bar_axis.ts";
import { barBoxes, stepLine, stepsOf } from "../drawing/bar_marks.ts";
import { type BarScale, barScale } from "../drawing/bar_scale.ts";
import { type BarPanel, barsFrame } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { type NamedSpan, spansOf } from "../drawing/spans.ts";
import { levelLine, outlined, patch } from "../drawing/signs.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { textWidth } from "../drawing/text_width.ts";
import { valueAxis } from "../drawing/value_axis.ts";
import { counted, numbersTogether } from "../drawing/words.ts";
import { hue } from "../drawing/theme.ts";
import { balanceTitle } from "../titles/sound_titles.ts";

const NAME = "balance";
const HEARD = hue("blue");
const COVERED = hue("crimson");
const POWER = hue("violet");
const HANDBOOK = hue("ochre");
const ALONE_OPACITY = 0.1;
const ALONE = "lead alone: nothing to stand above";
const NOTE = "The handbook's weights count players at one dynamic and ignore who is marked louder.";

/**
 * Whether the lead is heard: who leads, what share of its loudness is left beside everything else, with covered
 * stretches marked, and how far it stands above or below the rest in dB by sound power and by the handbook's weights;
 * where it is alone, that is said instead.
 *
 * @param balance the measure
 * @param score the score, for the names of passages
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { balance, demoScore } from "ripieno";
 * import { balanceChart, chartSvg } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = balanceChart(balance(demoScore()), demoScore());
 * assertStringIncludes(chartSvg(chart), "share of the lead");
 * ```
 */
export function balanceChart(balance: Balance, score?: Score, options: ChartOptions = {}): Chart {
  checkArgument("draw the balance chart", balance, A_BALANCE);
  const { width, height = 330, title } = checkedOptions("balance chart", options);
  const axis = axisOfRows(balance.perBar, checkedScore("balance chart", score));
  const scale = barScale(axis, { width });
  const { coveredBelowShare = 0.1 } = balance.settings;
  const isCovered = (b: BalanceBar) => b.audibleShare !== null && b.audibleShare < coveredBelowShare;
  const covered = spansOf(balance.perBar, (b) => isCovered(b) ? "covered" : "");
  return barsFrame({
    name: NAME,
    scale,
    title: title ?? balanceTitle(balance, balance.perBar.filter(isCovered).length, axis),
    note: title === "" ? NOTE : `${NOTE} ${BALANCE_CAUTION}`,
    label: labelOf(balance, balance.perBar.filter(isCovered).length),
    legend: [
      [stepSign(HEARD), "audible share of the lead"],
      covered.length > 0
        ? [coveredSign(), "lead covered"]
        : [dashSign(COVERED), "below this line it would be covered"],
      [patch({ fill: POWER, "fill-opacity": 0.55 }), "by sound power"],
      [dashSign(HANDBOOK), "by the handbook's weights"],
      ...(balance.perBar.some((b) => b.leadAlone)
        ? [[patch({ fill: "currentColor", "fill-opacity": ALONE_OPACITY }), ALONE] as const]
        : []),
    ],
    panels: [
      leadPanel(balance, scale),
      sharePanel(balance, scale, { covered, coveredBelowShare, height: height * 0.5 }),
      levelPanel(balance, scale, height * 0.5),
    ],
  });
}

function labelOf({ perBar, whole }: Balance, covered: number): string {
  const along = `Balance along ${counted(perBar.length, "bar")}; `;
  if (whole.audibleShare === null) return `${along}nothing leads`;
  return `${along}the lead keeps ${
    whole.audibleShare.toFixed(2)
  } of its loudness on average and is covered in ${counted(covered, "bar")}`;
}

/** Who leads, as a strip of names. */
function leadPanel({ perBar }: Balance, { axis, pixelsPerBar, xOf }: BarScale): BarPanel {
  const leads = spansOf(perBar, (b) => b.lead);
  const names = leads.flatMap(({ name, fromBarIndex, toBarIndex }) => {
    const room = (toBarIndex + 1 - fromBarIndex) * pixelsPerBar - 7;
    const text = leadWordings(name).find((words) => textWidth(words, 10) <= room) ?? "";
    const leading = name.includes(" + ") ? "lead" : "leads";
    const title = `${name} ${leading}, ${barsInWords(axis, fromBarIndex, toBarIndex)}`;
    return text === "" ? [] : [svgText({ text, x: xOf(fromBarIndex) + 4, y: 13, size: 10, title })];
  });
  return {
    heading: "who leads",
    height: 20,
    domain: [0, 1],
    marks: [
      barBoxes("leads", leads, {
        insetRight: pixelsPerBar > 3 ? 1 : 0,
        fill: "currentColor",
        fillOpacity: (_, i) => i % 2 === 0 ? 0.07 : 0.15,
        title: (s) => `${s.name}, ${barsInWords(axis, s.fromBarIndex, s.toBarIndex)}`,
      }),
    ],
    over: [h("g", { "aria-label": "lead names" }, ...names)],
  };
}

/** Who leads, in ever fewer words. */
function leadWordings(lead: string): readonly string[] {
  const names = lead.split(" + ");
  return [
    numbersTogether(lead),
    ...(names.length > 1 ? [`${names[0]} + ${names.length - 1} more`, `${names.length} parts`] : []),
  ];
}

function sharePanel(
  { perBar }: Balance,
  scale: BarScale,
  { covered, coveredBelowShare, height }: {
    readonly covered: readonly NamedSpan[];
    readonly coveredBelowShare: number;
    readonly height: number;
  },
): BarPanel {
  return {
    heading: "share of the lead's loudness that is left beside the rest: 1 all, 0 inaudible",
    height,
    domain: [0, 1],
    marks: [
      ...valueAxis({ bottom: 0, top: 1, height }),
      barBoxes("covered", covered, {
        fill: COVERED,
        fillOpacity: 0.13,
        title: (s) => `the lead is covered, ${barsInWords(scale.axis, s.fromBarIndex, s.toBarIndex)}`,
      }),
      barBoxes("audible-share", perBar.filter((b) => b.audibleShare !== null), {
        y2: (b) => b.audibleShare ?? 0,
        fill: HEARD,
        fillOpacity: 0.35,
        title: (b) => `bar ${b.bar}: ${b.lead} keeps ${(b.audibleShare ?? 0).toFixed(2)} of its loudness`,
      }),
      stepLine("audible-share-line", stepsOf(perBar, (b) => b.audibleShare), {
        stroke: HEARD,
        strokeWidth: lineWidth(scale),
      }),
      Plot.ruleY([coveredBelowShare], {
        stroke: COVERED,
        strokeDasharray: "5 3",
        ...namedMark("covered-below"),
      }),
      spanLabels("covered", covered, { scale, room: 50, place: { y: 0.94, fill: COVERED } }),
    ],
  };
}

function levelPanel({ perBar }: Balance, scale: BarScale, height: number): BarPanel {
  const values = perBar.flatMap((b) => [b.powerDb, b.handbookDb]).filter((v) => v !== null);
  const reach = Math.max(6, ...values.map(Math.abs));
  const end = (has: boolean) => Math.min(30, Math.ceil((has ? reach : 3) / 3) * 3);
  const [bottom, top] = [-end(values.some((v) => v < 0)), end(values.some((v) => v > 0))];
  const inside = (v: number) => Math.max(bottom, Math.min(top, v));
  const alone = spansOf(perBar, (b) => b.leadAlone ? "alone" : "");
  return {
    heading: "lead above (+) or below (−) the rest, dB",
    height,
    domain: [bottom, top],
    marks: [
      ...valueAxis({ bottom, top, height, signed: true }),
      barBoxes("power-difference", perBar.filter((b) => b.powerDb !== null), {
        y2: (b) => inside(b.powerDb ?? 0),
        insetRight: scale.gap,
        fill: POWER,
        fillOpacity: 0.55,
        title: (b) =>
          `bar ${b.bar}: ${b.lead} ${decibels(b.powerDb)} against the rest by power, ` +
          `${decibels(b.handbookDb)} by the handbook`,
      }),
      stepLine(
        "handbook-difference",
        stepsOf(perBar, (b) => b.handbookDb === null ? null : inside(b.handbookDb)),
        {
          stroke: HANDBOOK,
          strokeWidth: lineWidth(scale),
          strokeDasharray: "4 2",
        },
      ),
      Plot.ruleY([0], { strokeOpacity: 0.7, ...namedMark("level") }),
      barBoxes("alone", alone, {
        y1: bottom,
        y2: top,
        fill: "currentColor",
        fillOpacity: ALONE_OPACITY,
        title: (s) => `the lead is alone, ${barsInWords(scale.axis, s.fromBarIndex, s.toBarIndex)}`,
      }),
      spanLabels("alone", alone, { scale, room: 34, place: { y: top, dy: 8 } }),
    ],
  };
}

/** A word at the beginning of each span that has room for it. */
function spanLabels(
  word: string,
  spans: readonly NamedSpan[],
  { scale, room, place }: {
    readonly scale: BarScale;
    readonly room: number;
    readonly place: Plot.TextOptions;
  },
): Plot.Markish {
  const wide = spans.filter((s) => (s.toBarIndex + 1 - s.fromBarIndex) * scale.pixelsPerBar >= room);
  return Plot.text(wide, {
    ...place,
    x: "fromBarIndex",
    dx: 3,
    textAnchor: "start",
    text: () => word,
    fontSize: 10,
    ...namedMark(`${word}-labels`),
  });
}

const lineWidth = ({ pixelsPerBar }: BarScale) => pixelsPerBar > 3 ? 2 : 1;

function decibels(value: number | null): string {
  return value === null ? "unknown" : `${value > 0 ? "+" : ""}${value.toFixed(1)} dB`;
}

function stepSign(colour: string): SVGElement {
  return h(
    "g",
    {},
    h("rect", { y: 3, width: 22, height: 12, fill: colour, "fill-opacity": 0.35 }),
    h("path", { d: "M0 3H22", stroke: colour, "stroke-width": 2 }),
  );
}

const dashSign = (stroke: string) => levelLine({ stroke, "stroke-width": 2, "stroke-dasharray": "4 2" });

function coveredSign(): SVGElement {
  const look = { fill: COVERED, "fill-opacity": 0.13, stroke: COVERED, "stroke-dasharray": "5 3" };
  return outlined({ y: 2.5, height: 11, ...look });
}
