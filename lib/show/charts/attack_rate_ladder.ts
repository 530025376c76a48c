import { A_MOMENTUM, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import type { Momentum, MomentumBar } from "../../measures/momentum/momentum_results.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { axisOfRows } from "../drawing/bar_axis.ts";
import { barsFrame, barsWidth, MARGIN_RIGHT } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { roleFill } from "../drawing/frame.ts";
import { joinedFills } from "../drawing/joined_fills.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { textWidth } from "../drawing/text_width.ts";
import { ROLE_LOOKS } from "../drawing/theme.ts";
import { counted } from "../drawing/words.ts";

/** One rung: how often a note value comes round at the tempo of some bars. */
export interface Rung {
  /** Name of the value. */
  readonly value: string;
  /** Times per second. */
  readonly perSecond: number;
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
}

/** What a role does in some bars: the attacks of its busiest layer that is plainly heard, or else of its busiest. */
export interface RoleRate {
  /** The role. */
  readonly role: Role;
  /** Attacks per second. */
  readonly perSecond: number;
  /** Whether that layer is plainly heard: audibility of at least a half. */
  readonly heard: boolean;
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
}

/** Note values that make the rungs, in quarters. */
const VALUES: readonly (readonly [value: string, quarters: number])[] = [
  ["half notes", 2],
  ["quarters", 1],
  ["eighths", 1 / 2],
  ["eighth triplets", 1 / 3],
  ["sixteenths", 1 / 4],
  ["sextuplets", 1 / 6],
  ["thirty-seconds", 1 / 8],
];

/** Audibility from which a layer counts as plainly heard. */
const HEARD_FROM = 0.5;
/** Rates nearer than this are one. */
const SAME = 0.01;

/** Rungs of the ladder, value by value, bars of one tempo joined. */
export function ladderRungs(score: Score): readonly Rung[] {
  const clock = clockOf(score);
  const tempo = score.bars.map((bar) => {
    const seconds = clock(bar.startTicks + bar.durationTicks) - clock(bar.startTicks);
    return seconds > 0 ? bar.durationTicks / score.ticksPerQuarter / seconds : 0;
  });
  return VALUES.flatMap(([value, quarters]) => {
    const rungs: Rung[] = [];
    tempo.forEach((quartersPerSecond, bar) => {
      if (quartersPerSecond <= 0) return;
      const perSecond = quartersPerSecond / quarters;
      const last = rungs.at(-1);
      if (last && last.toBarIndex === bar - 1 && Math.abs(last.perSecond / perSecond - 1) < SAME) {
        rungs[rungs.length - 1] = { ...last, toBarIndex: bar };
      } else rungs.push({ value, perSecond, fromBarIndex: bar, toBarIndex: bar });
    });
    return rungs;
  });
}

/** Rates of the roles, role by role, bars of one rate joined. */
export function ladderRates(momentum: Momentum): readonly RoleRate[] {
  return ROLE_NAMES.flatMap((role) => {
    const rates: RoleRate[] = [];
    for (
      const [bar, layers] of Map.groupBy(momentum.perLayer.filter((l) => l.role === role), (l) => l.barIndex)
    ) {
      const plain = layers.filter((l) => l.audibility >= HEARD_FROM);
      const heard = plain.length > 0;
      const perSecond = Math.max(...(heard ? plain : layers).map((l) => l.onsetsPerSecond));
      if (perSecond <= 0) continue;
      const last = rates.at(-1);
      const isSame = last && last.toBarIndex === bar - 1 && last.heard === heard &&
        Math.abs(last.perSecond / perSecond - 1) < SAME;
      if (isSame) rates[rates.length - 1] = { ...last, toBarIndex: bar };
      else rates.push({ role, perSecond, heard, fromBarIndex: bar, toBarIndex: bar });
    }
    return rates;
  });
}

const NAME = "ladder";
const MARGIN_LEFT = 52;
const RUNG_SIZE = 10;
/** Room right of the bars for the names of the rungs. */
const NAMES_WIDTH = 84;
const THICK = 7;
/** Attacks per second at the foot of the ladder at most, and how much lower than the slowest rate it stands. */
const FOOT = 0.25;
const BELOW_SLOWEST = 0.75;
/** Rates under this stand at the foot. */
const LEAST_FOOT = 0.02;
/** Attacks per second at the top of the ladder, at least. */
const LEAST_TOP = 19;

/**
 * Attacks per second of each role along the bars, on a ladder whose rungs are the note values at the tempo: what is a
 * sixteenth here may be an eighth there. The rate of all attack times together runs above them as a line. In the
 * shaded part attacks are less than 100 ms apart and fuse.
 *
 * @param momentum the measure
 * @param score the score, for tempos and passages
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore, momentum } from "ripieno";
 * import { attackRateLadderChart, chartSvg } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = attackRateLadderChart(momentum(demoScore()), demoScore());
 * assertStringIncludes(chartSvg(chart), "sixteenths");
 * ```
 */
export function attackRateLadderChart(momentum: Momentum, score: Score, options: ChartOptions = {}): Chart {
  checkArgument("draw the attack-rate ladder chart", momentum, A_MOMENTUM);
  const { width: outerWidth, height = 340, title = "The ladder of attacks" } = checkedOptions(
    "attack-rate ladder chart",
    options,
  );
  const width = outerWidth - NAMES_WIDTH;
  const axis = axisOfRows(momentum.perBar, checkedScore("attack-rate ladder chart", score));
  const pixelsPerBar = barsWidth({ width, marginLeft: MARGIN_LEFT }) / Math.max(1, momentum.perBar.length);
  const rates = ladderRates(momentum);
  const fusion = 1 / (momentum.settings["fusionSeconds"] ?? 0.1);
  const highest = Math.max(LEAST_TOP, 1.2 * Math.max(0, ...momentum.perBar.map((b) => b.onsetsPerSecond)));
  const slowest = Math.min(...rates.map((r) => r.perSecond));
  const foot = Math.max(LEAST_FOOT, Math.min(FOOT, BELOW_SLOWEST * slowest));
  const [bottom, top] = [Math.log2(foot), Math.log2(highest)];
  const level = (perSecond: number) => Math.log2(Math.max(foot, perSecond));
  const thick = THICK / height * (top - bottom);
  const roles = ROLE_NAMES.filter((role) => rates.some((r) => r.role === role));
  /** Roles at one rate stand side by side. */
  const middle = (r: RoleRate) => level(r.perSecond) + sideOf(r, rates) * thick * 0.85;
  const rungs = ladderRungs(score).filter((r) => level(r.perSecond) > bottom && r.perSecond < highest);
  const number = (bar: number) => axis.numbers[bar - axis.fromBarIndex] ?? String(bar + 1);
  const line = momentum.perBar.filter((b) => b.onsetsPerSecond > 0).flatMap((b) => [
    { x: b.barIndex, y: level(b.onsetsPerSecond), z: b.barIndex },
    { x: b.barIndex + 1, y: level(b.onsetsPerSecond), z: b.barIndex },
  ]);
  const yOf = (value: number) => height - (value - bottom) / (top - bottom) * height;
  return barsFrame({
    name: NAME,
    width,
    outerWidth,
    title,
    label:
      `Attacks per second of ${roles.join(", ")} along ${
        counted(momentum.perBar.length, "bar")
      }, against the ` +
      `note values at the tempo; ${momentum.whole.onsetsPerSecond.toFixed(1)} a second in all on average`,
    legend: [
      ...roles.map((role) => ({ sign: { role }, label: role })),
      { sign: { drawn: paleSign() }, label: "pale with a rim: covered by the rest" },
      { sign: { drawn: lineSign() }, label: "all attacks together" },
    ],
    axis,
    marginLeft: MARGIN_LEFT,
    panels: [{
      heading: "attacks per second",
      height,
      domain: [bottom, top],
      marks: [
        Plot.rect([{ from: level(fusion), to: top }], {
          x1: axis.fromBarIndex,
          x2: axis.toBarIndex + 1,
          y1: (d: { from: number }) => d.from,
          y2: (d: { to: number }) => d.to,
          fill: "currentColor",
          fillOpacity: 0.08,
          ...namedMark("fused"),
        }),
        Plot.axisY(
          [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20].filter((v) => v > foot && v <= highest).map((v) =>
            Math.log2(v)
          ),
          {
            label: null,
            tickSize: 0,
            tickPadding: 6,
            fontSize: 11,
            tickFormat: (v: number) => String(Math.round(2 ** v * 100) / 100),
          },
        ),
        Plot.link(rungs, {
          x1: (r: Rung) => r.fromBarIndex,
          x2: (r: Rung) => r.toBarIndex + 1,
          y1: (r: Rung) => level(r.perSecond),
          y2: (r: Rung) => level(r.perSecond),
          stroke: "currentColor",
          strokeOpacity: 0.35,
          strokeDasharray: "1 3",
          ...namedMark("rungs"),
        }),
        Plot.line(line, {
          x: "x",
          y: "y",
          stroke: "currentColor",
          strokeWidth: pixelsPerBar > 3 ? 1.3 : 0.8,
          ...namedMark("all-attacks"),
        }),
        Plot.rect(rates.filter((r) => r.heard), {
          ...placed(middle, thick),
          fill: (r: RoleRate) => roleFill(NAME, r.role),
          stroke: "currentColor",
          strokeOpacity: 0.4,
          strokeWidth: 0.5,
          title: (r: RoleRate) => titleOf(r, number),
          insetRight: pixelsPerBar > 5 ? 1 : 0,
          ...joinedFills("rates"),
        }),
        Plot.rect(rates.filter((r) => !r.heard), {
          ...placed(middle, thick),
          fill: (r: RoleRate) => ROLE_LOOKS[r.role].fill,
          fillOpacity: 0.25,
          stroke: (r: RoleRate) => roleInk(r.role),
          strokeWidth: 1.2,
          title: (r: RoleRate) => `${titleOf(r, number)}, covered by the rest`,
          insetRight: pixelsPerBar > 5 ? 1 : 0,
          ...namedMark("covered-rates"),
        }),
        Plot.rect(momentum.perBar.filter((b) => b.onsetsPerSecond > 0), {
          x1: (b: MomentumBar) => b.barIndex,
          x2: (b: MomentumBar) => b.barIndex + 1,
          y1: (b: MomentumBar) => level(b.onsetsPerSecond) - thick / 4,
          y2: (b: MomentumBar) => level(b.onsetsPerSecond) + thick / 4,
          fill: "transparent",
          title: (b: MomentumBar) =>
            `bar ${b.bar}: ${b.onsetsPerSecond.toFixed(1)} attacks per second in all`,
          ...namedMark("bars"),
        }),
      ],
      over: [
        svgText({
          text: `less than ${Math.round(1000 / fusion)} ms apart: attacks fuse`,
          x: width - 22,
          y: Math.max(12, yOf(level(fusion)) - 5),
          size: RUNG_SIZE,
          anchor: "end",
          halo: true,
        }),
        ...rungNames(rungs, {
          right: width - MARGIN_RIGHT,
          xOf: (bar) => MARGIN_LEFT + (bar - axis.fromBarIndex) * pixelsPerBar,
          yOf: (perSecond) => yOf(level(perSecond)),
        }),
      ],
    }],
  });
}

function placed(middle: (r: RoleRate) => number, thick: number) {
  return {
    x1: (r: RoleRate) => r.fromBarIndex,
    x2: (r: RoleRate) => r.toBarIndex + 1,
    y1: (r: RoleRate) => middle(r) - thick / 2,
    y2: (r: RoleRate) => middle(r) + thick / 2,
  };
}

/** How far a mark moves aside, in its own thickness, where other roles have the same rate in the same bars. */
function sideOf(rate: RoleRate, rates: readonly RoleRate[]): number {
  const beside = rates.filter((r) =>
    r.fromBarIndex <= rate.toBarIndex && rate.fromBarIndex <= r.toBarIndex &&
    Math.abs(Math.log2(r.perSecond / rate.perSecond)) < 0.06
  );
  const roles = [...new Set(beside.map((r) => r.role))];
  return (roles.length - 1) / 2 - roles.indexOf(rate.role);
}

function titleOf(r: RoleRate, number: (bar: number) => string): string {
  const bars = r.fromBarIndex === r.toBarIndex
    ? `bar ${number(r.fromBarIndex)}`
    : `bars ${number(r.fromBarIndex)}–${number(r.toBarIndex)}`;
  return `${r.role}, ${bars}: ${r.perSecond.toFixed(1)} attacks per second`;
}

/** Names of the rungs: of the last tempo at the right, of others where they begin and there is room. */
function rungNames(rungs: readonly Rung[], { right, xOf, yOf }: {
  readonly right: number;
  readonly xOf: (bar: number) => number;
  readonly yOf: (perSecond: number) => number;
}): readonly SVGElement[] {
  const lastBar = Math.max(...rungs.map((r) => r.toBarIndex));
  return rungs.flatMap((rung) => {
    const isLast = rung.toBarIndex === lastBar;
    const room = xOf(rung.toBarIndex + 1) - xOf(rung.fromBarIndex);
    if (!isLast && textWidth(rung.value, RUNG_SIZE) + 40 > room) return [];
    return [svgText({
      text: rung.value,
      x: isLast ? right + 4 : xOf(rung.fromBarIndex) + 3,
      y: yOf(rung.perSecond) + (isLast ? 3.5 : -2),
      size: RUNG_SIZE,
      halo: !isLast,
    })];
  });
}

/** An outline that shows on white paper: the role's colour, or its dark ink where that is pale. */
function roleInk(role: Role): string {
  const { fill, ink } = ROLE_LOOKS[role];
  return ink === "#ffffff" ? fill : ink;
}

function paleSign(): SVGElement {
  return h("rect", {
    x: 0,
    y: 4,
    width: 22,
    height: 7,
    fill: "currentColor",
    "fill-opacity": 0.12,
    stroke: "currentColor",
    "stroke-width": 1.2,
  });
}

function lineSign(): SVGElement {
  return h("path", { d: "M0 8H22", stroke: "currentColor", "stroke-width": 1.5 });
}
