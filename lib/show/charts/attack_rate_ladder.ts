import { A_MOMENTUM, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import type { Momentum } from "../../measures/momentum/momentum_results.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { axisOfRows, type BarAxis, barsInWords } from "../drawing/bar_axis.ts";
import { barBoxes } from "../drawing/bar_marks.ts";
import { type BarScale, barScale, MARGIN_RIGHT } from "../drawing/bar_scale.ts";
import { barsFrame } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { roleFill } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { type BarSpan, runsOf } from "../drawing/spans.ts";
import { levelLine } from "../drawing/signs.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { textWidth } from "../drawing/text_width.ts";
import { ROLE_LOOKS } from "../drawing/theme.ts";
import { leftAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";
import { ladderTitle } from "../titles/motion_titles.ts";

/** One rung: how often a note value comes round at the tempo of some bars. */
interface Rung extends BarSpan {
  readonly value: string;
  readonly perSecond: number;
}

/** What a role does in some bars: the attacks of its busiest layer that is plainly heard, or else of its busiest. */
interface RoleRate extends BarSpan {
  readonly role: Role;
  readonly perSecond: number;
  /** Whether that layer is plainly heard: audibility of at least a half. */
  readonly heard: boolean;
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
    const rows = tempo.map((perSecond, barIndex) => ({ barIndex, value, perSecond: perSecond / quarters }));
    return runsOf(rows.filter((r) => r.perSecond > 0), isOneRate);
  });
}

function isOneRate(one: Pick<Rung, "perSecond">, other: Pick<Rung, "perSecond">): boolean {
  return Math.abs(one.perSecond / other.perSecond - 1) < SAME;
}

/** Rates of the roles, role by role, bars of one rate joined. */
export function ladderRates(momentum: Momentum): readonly RoleRate[] {
  return ROLE_NAMES.flatMap((role) => {
    const bars = Map.groupBy(momentum.perLayer.filter((l) => l.role === role), (l) => l.barIndex);
    const rows = [...bars].map(([barIndex, layers]) => {
      const plain = layers.filter((l) => l.audibility >= HEARD_FROM);
      const heard = plain.length > 0;
      const perSecond = Math.max(...(heard ? plain : layers).map((l) => l.onsetsPerSecond));
      return { barIndex, role, heard, perSecond };
    });
    const sounding = rows.filter((r) => r.perSecond > 0);
    return runsOf(sounding, (a, b) => a.heard === b.heard && isOneRate(a, b));
  });
}

const NAME = "ladder";
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
/** Rates that may be written at the left. */
const FIGURES = [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20];
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
  const { width, height = 340, title } = checkedOptions(
    "attack-rate ladder chart",
    options,
  );
  const axis = axisOfRows(momentum.perBar, checkedScore("attack-rate ladder chart", score));
  const scale = barScale(axis, { width: width - NAMES_WIDTH });
  const rates = ladderRates(momentum);
  const roles = ROLE_NAMES.filter((role) => rates.some((r) => r.role === role));
  const ladder = ladderOf(momentum, rates, height);
  const rungs = ladderRungs(score)
    .filter((r) => ladder.level(r.perSecond) > ladder.bottom && r.perSecond < ladder.highest);
  return barsFrame({
    name: NAME,
    scale,
    outerWidth: width,
    title: title ?? ladderTitle(rates),
    label:
      `Attacks per second of ${roles.join(", ")} along ${
        counted(momentum.perBar.length, "bar")
      }, against the ` +
      `note values at the tempo; ${momentum.whole.onsetsPerSecond.toFixed(1)} a second in all on average`,
    legend: [
      ...roles.map((role) => [role, role] as const),
      [paleSign(), "pale with a rim: covered by the rest"],
      [levelLine({ stroke: "currentColor", "stroke-width": 1.5 }), "all attacks together"],
    ],
    panels: [{
      heading: "attacks per second",
      height,
      domain: [ladder.bottom, ladder.top],
      marks: [
        ...ladderMarks(rungs, ladder, axis),
        allAttacks(momentum, scale, ladder),
        ...rateMarks(rates, scale, ladder),
        barHovers(momentum, ladder),
      ],
      over: [fusionWords(scale, ladder), ...rungNames(rungs, scale, ladder)],
    }],
  });
}

/** The upright scale: logarithms of rates, so that each doubling is one step. */
interface Ladder {
  /** Rate at the foot; slower ones stand there. */
  readonly foot: number;
  readonly highest: number;
  readonly bottom: number;
  readonly top: number;
  /** From this rate on attacks fuse. */
  readonly fusion: number;
  /** Thickness of a role's mark on the scale. */
  readonly thick: number;
  /** Place of a rate on the scale. */
  readonly level: (perSecond: number) => number;
  /** The same in pixels from the top. */
  readonly yOf: (perSecond: number) => number;
}

function ladderOf(momentum: Momentum, rates: readonly RoleRate[], height: number): Ladder {
  const highest = Math.max(LEAST_TOP, 1.2 * Math.max(0, ...momentum.perBar.map((b) => b.onsetsPerSecond)));
  const slowest = Math.min(...rates.map((r) => r.perSecond));
  const foot = Math.max(LEAST_FOOT, Math.min(FOOT, BELOW_SLOWEST * slowest));
  const [bottom, top] = [Math.log2(foot), Math.log2(highest)];
  const level = (perSecond: number) => Math.log2(Math.max(foot, perSecond));
  return {
    foot,
    highest,
    bottom,
    top,
    fusion: 1 / (momentum.settings["fusionSeconds"] ?? 0.1),
    thick: THICK / height * (top - bottom),
    level,
    yOf: (perSecond) => height - (level(perSecond) - bottom) / (top - bottom) * height,
  };
}

/** The shaded part where attacks fuse, figures at the left, the rungs. */
function ladderMarks(
  rungs: readonly Rung[],
  { foot, highest, top, fusion, level }: Ladder,
  axis: BarAxis,
): readonly Plot.Markish[] {
  const figures = FIGURES.filter((v) => v > foot && v <= highest);
  return [
    barBoxes("fused", [axis], { y1: level(fusion), y2: top, fill: "currentColor", fillOpacity: 0.08 }),
    leftAxis(figures.map(Math.log2), (v) => String(Math.round(2 ** v * 100) / 100)),
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
  ];
}

/** All attack times together, a stretch for each bar that has some. */
function allAttacks({ perBar }: Momentum, { pixelsPerBar }: BarScale, { level }: Ladder): Plot.Markish {
  const stretches = perBar.filter((b) => b.onsetsPerSecond > 0).flatMap(({ barIndex, onsetsPerSecond }) => [
    { x: barIndex, y: level(onsetsPerSecond), z: barIndex },
    { x: barIndex + 1, y: level(onsetsPerSecond), z: barIndex },
  ]);
  return Plot.line(stretches, {
    x: "x",
    y: "y",
    stroke: "currentColor",
    strokeWidth: pixelsPerBar > 3 ? 1.3 : 0.8,
    ...namedMark("all-attacks"),
  });
}

/** What the roles do: textured where it is plainly heard, pale with a rim where it is covered. */
function rateMarks(
  rates: readonly RoleRate[],
  { axis, gap }: BarScale,
  { level, thick }: Ladder,
): readonly Plot.Markish[] {
  /** Roles at one rate stand side by side. */
  const middle = (r: RoleRate) => level(r.perSecond) + sideOf(r, rates) * thick * 0.85;
  const place = {
    y1: (r: RoleRate) => middle(r) - thick / 2,
    y2: (r: RoleRate) => middle(r) + thick / 2,
    insetRight: gap,
  };
  const titleOf = (r: RoleRate) =>
    `${r.role}, ${barsInWords(axis, r.fromBarIndex, r.toBarIndex)}: ${
      r.perSecond.toFixed(1)
    } attacks per second`;
  return [
    barBoxes("rates", rates.filter((r) => r.heard), {
      ...place,
      fill: (r) => roleFill(NAME, r.role),
      stroke: "currentColor",
      strokeOpacity: 0.4,
      strokeWidth: 0.5,
      title: titleOf,
      joined: true,
    }),
    barBoxes("covered-rates", rates.filter((r) => !r.heard), {
      ...place,
      fill: (r) => ROLE_LOOKS[r.role].fill,
      fillOpacity: 0.25,
      stroke: (r) => rimOf(r.role),
      strokeWidth: 1.2,
      title: (r) => `${titleOf(r)}, covered by the rest`,
    }),
  ];
}

/** What pops up over the line of all attacks. */
function barHovers({ perBar }: Momentum, { level, thick }: Ladder): Plot.Markish {
  return barBoxes("bars", perBar.filter((b) => b.onsetsPerSecond > 0), {
    y1: (b) => level(b.onsetsPerSecond) - thick / 4,
    y2: (b) => level(b.onsetsPerSecond) + thick / 4,
    fill: "transparent",
    title: (b) => `bar ${b.bar}: ${b.onsetsPerSecond.toFixed(1)} attacks per second in all`,
  });
}

function fusionWords({ width }: BarScale, { fusion, yOf }: Ladder): SVGElement {
  return svgText({
    text: `less than ${Math.round(1000 / fusion)} ms apart: attacks fuse`,
    x: width - 22,
    y: Math.max(12, yOf(fusion) - 5),
    size: RUNG_SIZE,
    anchor: "end",
    halo: true,
  });
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

/** Names of the rungs: of the last tempo at the right, of others where they begin and there is room. */
function rungNames(
  rungs: readonly Rung[],
  { width, xOf }: BarScale,
  { yOf }: Ladder,
): readonly SVGElement[] {
  const lastBar = Math.max(...rungs.map((r) => r.toBarIndex));
  return rungs.flatMap((rung) => {
    const isLast = rung.toBarIndex === lastBar;
    const room = xOf(rung.toBarIndex + 1) - xOf(rung.fromBarIndex);
    if (!isLast && textWidth(rung.value, RUNG_SIZE) + 40 > room) return [];
    return [svgText({
      text: rung.value,
      x: isLast ? width - MARGIN_RIGHT + 4 : xOf(rung.fromBarIndex) + 3,
      y: yOf(rung.perSecond) + (isLast ? 3.5 : -2),
      size: RUNG_SIZE,
      halo: !isLast,
    })];
  });
}

/** An outline that shows on white paper: the role's colour, or its dark ink where that is pale. */
function rimOf(role: Role): string {
  const { fill, ink } = ROLE_LOOKS[role];
  return ink === "#ffffff" ? fill : ink;
}

function paleSign(): SVGElement {
  const rim = { stroke: "currentColor", "stroke-width": 1.2 };
  return h("rect", { x: 0, y: 4, width: 22, height: 7, fill: "currentColor", "fill-opacity": 0.12, ...rim });
}
