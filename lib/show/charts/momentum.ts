import { A_MOMENTUM, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import { joinedFills } from "../drawing/joined_fills.ts";
import { namedMark } from "../drawing/named_mark.ts";
import type { Momentum } from "../../measures/momentum/momentum_results.ts";
import type { Score } from "../../score/model.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { axisOfRows, type BarAxis } from "../drawing/bar_axis.ts";
import { barsFrame, barsWidth } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { type LegendEntry, roleFill } from "../drawing/frame.ts";
import { type Chart, h } from "../drawing/svg.ts";
import { niceTop, valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";

/** What one role adds to one bar: one mark of the chart. */
export interface RoleShare {
  /** Bar index from 0. */
  readonly barIndex: number;
  /** The role. */
  readonly role: Role;
  /** Lower end of its mark, driving attacks per second. */
  readonly from: number;
  /** Upper end. */
  readonly to: number;
}

/**
 * Stacks what the roles add to each bar, from the background up to the lead; one row per bar and role that adds
 * something.
 */
export function momentumShares(momentum: Momentum): readonly RoleShare[] {
  const sums = new Map<number, Map<Role, number>>();
  for (const { barIndex, role, contribution } of momentum.perLayer) {
    const roles = sums.get(barIndex) ?? new Map<Role, number>();
    roles.set(role, (roles.get(role) ?? 0) + contribution);
    sums.set(barIndex, roles);
  }
  return [...sums].flatMap(([barIndex, roles]) => {
    let above = 0;
    let below = 0;
    return [...ROLE_NAMES].reverse().flatMap((role): RoleShare[] => {
      const value = roles.get(role) ?? 0;
      if (Math.abs(value) < 0.005) return [];
      if (value > 0) return [{ barIndex, role, from: above, to: above += value }];
      return [{ barIndex, role, from: below, to: below += value }];
    });
  });
}

/** Marks of a momentum panel: the roles' shares stacked, and the index as a line over them. */
export function momentumMarks(
  momentum: Momentum,
  { name, pixelsPerBar, axis }: {
    readonly name: string;
    readonly pixelsPerBar: number;
    readonly axis: BarAxis;
  },
): readonly Plot.Markish[] {
  const bars = momentum.perBar;
  const number = (bar: number) => axis.numbers[bar - axis.fromBarIndex] ?? String(bar + 1);
  const outline = bars.flatMap((
    b,
  ) => [{ x: b.barIndex, y: b.momentum }, { x: b.barIndex + 1, y: b.momentum }]);
  return [
    Plot.rect(momentumShares(momentum), {
      x1: (r: RoleShare) => r.barIndex,
      x2: (r: RoleShare) => r.barIndex + 1,
      y1: (r: RoleShare) => r.from,
      y2: (r: RoleShare) => r.to,
      insetRight: pixelsPerBar > 5 ? 1 : 0,
      shapeRendering: pixelsPerBar > 5 ? "auto" : "crispEdges",
      fill: (r: RoleShare) => roleFill(name, r.role),
      title: (r: RoleShare) =>
        `bar ${number(r.barIndex)}: ${r.role} adds ${(r.to - r.from).toFixed(2)} driving attacks per second`,
      ...joinedFills("shares-by-role"),
    }),
    Plot.line(outline, {
      x: "x",
      y: "y",
      stroke: "currentColor",
      strokeWidth: pixelsPerBar > 3 ? 1.3 : 0.7,
      ...namedMark("index"),
    }),
  ];
}

/** Legend of the roles that add something, and of the line. */
export function momentumLegend(studies: readonly Momentum[]): readonly LegendEntry[] {
  const shown = new Set(studies.flatMap((m) => momentumShares(m).map((s) => s.role)));
  const line = h("path", { d: "M0 8H22", stroke: "currentColor", "stroke-width": 1.5 });
  return [
    ...ROLE_NAMES.filter((role) => shown.has(role)).map((role) => ({ sign: { role }, label: role })),
    { sign: { drawn: line }, label: "the whole" },
  ];
}

const NAME = "momentum";
const MARGIN_LEFT = 52;

/**
 * How strongly the music drives along the bars: the index as a line, and below it what each role adds, from the
 * lead at the top to the background at the bottom.
 *
 * @param momentum the measure
 * @param score the score, for the names of passages
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore, momentum } from "ripieno";
 * import { chartSvg, momentumChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = momentumChart(momentum(demoScore()), demoScore());
 * assertStringIncludes(chartSvg(chart), "driving attacks per second");
 * ```
 */
export function momentumChart(momentum: Momentum, score?: Score, options: ChartOptions = {}): Chart {
  checkArgument("draw the momentum chart", momentum, A_MOMENTUM);
  const { width, height = 260, title = "Momentum" } = checkedOptions("momentum chart", options);
  const axis = axisOfRows(momentum.perBar, checkedScore("momentum chart", score));
  const pixelsPerBar = barsWidth({ width, marginLeft: MARGIN_LEFT }) / Math.max(1, momentum.perBar.length);
  const shares = momentumShares(momentum);
  const top = niceTop(Math.max(...momentum.perBar.map((b) => b.momentum), ...shares.map((s) => s.to), 0.5));
  const bottom = Math.min(0, ...shares.map((s) => s.to));
  return barsFrame({
    name: NAME,
    width,
    title,
    label:
      `Momentum along ${counted(momentum.perBar.length, "bar")}, ${momentum.whole.momentum.toFixed(1)} ` +
      "driving attacks per second on average, stacked by role",
    legend: momentumLegend([momentum]),
    axis,
    marginLeft: MARGIN_LEFT,
    panels: [{
      heading: "driving attacks per second",
      height,
      domain: [bottom, top],
      marks: [
        ...valueAxis({ bottom, top, height }),
        ...momentumMarks(momentum, { name: NAME, pixelsPerBar, axis }),
      ],
    }],
  });
}
