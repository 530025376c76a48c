import { A_BALANCE, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import { namedMark } from "../drawing/named_mark.ts";
import { BALANCE_CAUTION } from "../drawing/balance_caution.ts";
import type { Balance, BalanceBar } from "../../measures/balance/balance_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows, type BarAxis, barsInWords } from "../drawing/bar_axis.ts";
import { type BarPanel, barsFrame, barsWidth } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { type BarSpan, spansOf } from "../drawing/spans.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText } from "../drawing/text_width.ts";
import { valueAxis } from "../drawing/value_axis.ts";
import { counted, numbersTogether } from "../drawing/words.ts";
import { hue } from "../drawing/theme.ts";

const NAME = "balance";
const MARGIN_LEFT = 52;
const HEARD = hue("blue");
const COVERED = hue("crimson");
const POWER = hue("violet");
const HANDBOOK = hue("ochre");
const ALONE_OPACITY = 0.1;
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
  const { width, height = 330, title = "Is the lead heard?" } = checkedOptions("balance chart", options);
  const axis = axisOfRows(balance.perBar, checkedScore("balance chart", score));
  const pixelsPerBar = barsWidth({ width, marginLeft: MARGIN_LEFT }) / Math.max(1, balance.perBar.length);
  const { coveredBelowShare = 0.1 } = balance.settings;
  const isCovered = (b: BalanceBar) => b.audibleShare !== null && b.audibleShare < coveredBelowShare;
  const covered = spansOf(balance.perBar, (b) => isCovered(b) ? "covered" : "");
  const share = balance.whole.audibleShare;
  return barsFrame({
    name: NAME,
    width,
    title,
    note: title === "" ? NOTE : `${NOTE} ${BALANCE_CAUTION}`,
    label: share === null
      ? `Balance along ${counted(balance.perBar.length, "bar")}; nothing leads`
      : `Balance along ${counted(balance.perBar.length, "bar")}; the lead keeps ${
        share.toFixed(2)
      } of its loudness on ` +
        `average and is covered in ${
          counted(covered.reduce((n, s) => n + s.toBarIndex + 1 - s.fromBarIndex, 0), "bar")
        }`,
    legend: [
      { sign: { drawn: stepSign(HEARD) }, label: "audible share of the lead" },
      covered.length > 0
        ? { sign: { drawn: coveredSign() }, label: "lead covered" }
        : { sign: { drawn: dashSign(COVERED) }, label: "below this line it would be covered" },
      { sign: { drawn: patchSign(POWER) }, label: "by sound power" },
      { sign: { drawn: dashSign(HANDBOOK) }, label: "by the handbook's weights" },
      ...(balance.perBar.some((b) => b.leadAlone)
        ? [{ sign: { drawn: aloneSign() }, label: "lead alone: nothing to stand above" }]
        : []),
    ],
    axis,
    marginLeft: MARGIN_LEFT,
    panels: [
      leadPanel(balance, { axis, pixelsPerBar }),
      sharePanel(balance, covered, { axis, height: height * 0.5, pixelsPerBar, coveredBelowShare }),
      levelPanel(balance, { axis, height: height * 0.5, pixelsPerBar }),
    ],
  });
}

/** Who leads, as a strip of names. */
function leadPanel(
  balance: Balance,
  { axis, pixelsPerBar }: { readonly axis: BarAxis; readonly pixelsPerBar: number },
): BarPanel {
  const leads = spansOf(balance.perBar, (b) => b.lead);
  const names = leads.flatMap((s) => {
    const x = MARGIN_LEFT + (s.fromBarIndex - axis.fromBarIndex) * pixelsPerBar + 4;
    const text = fitText(numbersTogether(s.name), 10, (s.toBarIndex + 1 - s.fromBarIndex) * pixelsPerBar - 7);
    const title = `${s.name} ${s.name.includes(" + ") ? "lead" : "leads"}, ${
      barsInWords(axis, s.fromBarIndex, s.toBarIndex)
    }`;
    return text === "" ? [] : [svgText({ text, x, y: 13, size: 10, title })];
  });
  return {
    heading: "who leads",
    height: 20,
    domain: [0, 1],
    marks: [
      Plot.rect(leads, {
        x1: (s: BarSpan) => s.fromBarIndex,
        x2: (s: BarSpan) => s.toBarIndex + 1,
        y1: () => 0,
        y2: () => 1,
        insetRight: pixelsPerBar > 3 ? 1 : 0,
        fill: "currentColor",
        fillOpacity: (_: BarSpan, i: number) => i % 2 === 0 ? 0.07 : 0.15,
        title: (s: BarSpan) => `${s.name}, ${barsInWords(axis, s.fromBarIndex, s.toBarIndex)}`,
        ...namedMark("leads"),
      }),
    ],
    over: [h("g", { "aria-label": "lead names" }, ...names)],
  };
}

function sharePanel(
  balance: Balance,
  covered: readonly BarSpan[],
  { axis, height, pixelsPerBar, coveredBelowShare }: {
    readonly axis: BarAxis;
    readonly pixelsPerBar: number;
    readonly height: number;
    readonly coveredBelowShare: number;
  },
): BarPanel {
  const known = balance.perBar.filter((b) => b.audibleShare !== null);
  return {
    heading: "share of the lead's loudness that is left beside the rest: 1 all, 0 inaudible",
    height,
    domain: [0, 1],
    marks: [
      ...valueAxis({ bottom: 0, top: 1, height }),
      Plot.rect(covered, {
        x1: (s: BarSpan) => s.fromBarIndex,
        x2: (s: BarSpan) => s.toBarIndex + 1,
        y1: () => 0,
        y2: () => 1,
        fill: COVERED,
        fillOpacity: 0.13,
        title: (s: BarSpan) => `the lead is covered, ${barsInWords(axis, s.fromBarIndex, s.toBarIndex)}`,
        ...namedMark("covered"),
      }),
      Plot.rect(known, {
        x1: (b: BalanceBar) => b.barIndex,
        x2: (b: BalanceBar) => b.barIndex + 1,
        y1: () => 0,
        y2: (b: BalanceBar) => b.audibleShare ?? 0,
        fill: HEARD,
        fillOpacity: 0.35,
        title: (b: BalanceBar) =>
          `bar ${b.bar}: ${b.lead} keeps ${(b.audibleShare ?? 0).toFixed(2)} of its loudness`,
        ...namedMark("audible-share"),
      }),
      Plot.line(steps(balance.perBar, (b) => b.audibleShare), {
        x: "x",
        y: "y",
        stroke: HEARD,
        strokeWidth: pixelsPerBar > 3 ? 2 : 1,
        ...namedMark("audible-share-line"),
      }),
      Plot.ruleY([coveredBelowShare], {
        stroke: COVERED,
        strokeDasharray: "5 3",
        ...namedMark("covered-below"),
      }),
      Plot.text(covered.filter((s) => (s.toBarIndex + 1 - s.fromBarIndex) * pixelsPerBar >= 50), {
        x: (s: BarSpan) => s.fromBarIndex,
        y: 0.94,
        dx: 3,
        textAnchor: "start",
        text: () => "covered",
        fontSize: 10,
        fill: COVERED,
        ...namedMark("covered-labels"),
      }),
    ],
  };
}

function levelPanel(
  balance: Balance,
  { axis, height, pixelsPerBar }: {
    readonly axis: BarAxis;
    readonly height: number;
    readonly pixelsPerBar: number;
  },
): BarPanel {
  const values = balance.perBar.flatMap((b) => [b.powerDb, b.handbookDb]).filter((v) => v !== null);
  const reach = Math.max(6, ...values.map(Math.abs));
  const bottom = -Math.min(30, Math.ceil((values.some((v) => v < 0) ? reach : 3) / 3) * 3);
  const top = Math.min(30, Math.ceil((values.some((v) => v > 0) ? reach : 3) / 3) * 3);
  const inside = (v: number) => Math.max(bottom, Math.min(top, v));
  const known = balance.perBar.filter((b) => b.powerDb !== null);
  const alone = spansOf(balance.perBar, (b) => b.leadAlone ? "alone" : "");
  return {
    heading: "lead above (+) or below (−) the rest, dB",
    height,
    domain: [bottom, top],
    marks: [
      ...valueAxis({ bottom, top, height, signed: true }),
      Plot.rect(known, {
        x1: (b: BalanceBar) => b.barIndex,
        x2: (b: BalanceBar) => b.barIndex + 1,
        y1: () => 0,
        y2: (b: BalanceBar) => inside(b.powerDb ?? 0),
        insetRight: pixelsPerBar > 5 ? 1 : 0,
        fill: POWER,
        fillOpacity: 0.55,
        title: (b: BalanceBar) =>
          `bar ${b.bar}: ${b.lead} ${decibels(b.powerDb)} against the rest by power, ` +
          `${decibels(b.handbookDb)} by the handbook`,
        ...namedMark("power-difference"),
      }),
      Plot.line(steps(balance.perBar, (b) => b.handbookDb === null ? null : inside(b.handbookDb)), {
        x: "x",
        y: "y",
        stroke: HANDBOOK,
        strokeWidth: pixelsPerBar > 3 ? 2 : 1,
        strokeDasharray: "4 2",
        ...namedMark("handbook-difference"),
      }),
      Plot.ruleY([0], { strokeOpacity: 0.7, ...namedMark("level") }),
      Plot.rect(alone, {
        x1: (s: BarSpan) => s.fromBarIndex,
        x2: (s: BarSpan) => s.toBarIndex + 1,
        y1: bottom,
        y2: top,
        fill: "currentColor",
        fillOpacity: ALONE_OPACITY,
        title: (s: BarSpan) => `the lead is alone, ${barsInWords(axis, s.fromBarIndex, s.toBarIndex)}`,
        ...namedMark("alone"),
      }),
      Plot.text(alone.filter((s) => (s.toBarIndex + 1 - s.fromBarIndex) * pixelsPerBar >= 34), {
        x: (s: BarSpan) => s.fromBarIndex,
        y: top,
        dx: 3,
        dy: 8,
        textAnchor: "start",
        text: () => "alone",
        fontSize: 10,
        ...namedMark("alone-labels"),
      }),
    ],
  };
}

/** A line with a level stretch per bar; it breaks where a bar has no value. */
function steps(
  bars: readonly BalanceBar[],
  valueOf: (bar: BalanceBar) => number | null,
): readonly { readonly x: number; readonly y: number }[] {
  return bars.flatMap((b) => {
    const y = valueOf(b) ?? NaN;
    return [{ x: b.barIndex, y }, { x: b.barIndex + 1, y }];
  });
}

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

function patchSign(colour: string): SVGElement {
  return h("rect", { y: 2, width: 22, height: 12, fill: colour, "fill-opacity": 0.55 });
}

function aloneSign(): SVGElement {
  return h("rect", {
    y: 2,
    width: 22,
    height: 12,
    fill: "currentColor",
    "fill-opacity": ALONE_OPACITY,
  });
}

function dashSign(colour: string): SVGElement {
  return h("path", { d: "M0 8H22", stroke: colour, "stroke-width": 2, "stroke-dasharray": "4 2" });
}

function coveredSign(): SVGElement {
  return h("rect", {
    x: 0.5,
    y: 2.5,
    width: 21,
    height: 11,
    fill: COVERED,
    "fill-opacity": 0.13,
    stroke: COVERED,
    "stroke-dasharray": "5 3",
  });
}
