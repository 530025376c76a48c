import { A_MOMENTUM, A_TEXTURE, checkArgument } from "../../base/arguments.ts";
import type * as Plot from "@observablehq/plot";
import type { Momentum } from "../../measures/momentum/momentum_results.ts";
import type { Score } from "../../score/model.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { axisOfRows, numberOf } from "../drawing/bar_axis.ts";
import { type RoleBox, stackedBoxes, stepLine, stepsOf } from "../drawing/bar_marks.ts";
import { type BarScale, barScale } from "../drawing/bar_scale.ts";
import { barsFrame } from "../drawing/bars_frame.ts";
import { checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import type { LegendEntry } from "../drawing/frame.ts";
import { roleNames, type RolesChartOptions } from "../panels/role_names.ts";
import { levelLine } from "../drawing/signs.ts";
import type { Chart } from "../drawing/svg.ts";
import { niceTop, valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";
import { momentumTitle } from "../titles/motion_titles.ts";

/** Stacks what the roles add to each bar, from the background up to the lead; one row per bar and role that adds something. */
export function momentumShares(momentum: Momentum): readonly RoleBox[] {
  const bars = Map.groupBy(momentum.perLayer, (l) => l.barIndex);
  return [...bars].flatMap(([barIndex, layers]) => {
    let above = 0;
    let below = 0;
    return ROLE_NAMES.toReversed().flatMap((role): RoleBox[] => {
      const value = layers.filter((l) => l.role === role).reduce((sum, l) => sum + l.contribution, 0);
      if (Math.abs(value) < 0.005) return [];
      if (value > 0) return [{ barIndex, role, from: above, to: above += value }];
      return [{ barIndex, role, from: below, to: below += value }];
    });
  });
}

/** Marks of a momentum panel: the roles' shares stacked, and the index as a line over them. */
export function momentumMarks(momentum: Momentum, chart: string, scale: BarScale): readonly Plot.Markish[] {
  const title = ({ barIndex, role, from, to }: RoleBox) =>
    `bar ${numberOf(scale.axis, barIndex)}: ${role} adds ${
      (to - from).toFixed(2)
    } driving attacks per second`;
  return [
    stackedBoxes("shares-by-role", momentumShares(momentum), { scale, chart, title }),
    stepLine("index", stepsOf(momentum.perBar, (b) => b.momentum), {
      stroke: "currentColor",
      strokeWidth: scale.pixelsPerBar > 3 ? 1.3 : 0.7,
    }),
  ];
}

/** Legend of the roles that add something, and of the line. */
export function momentumLegend(
  studies: readonly Momentum[],
  nameOf: (role: Role) => string = (role) => role,
): readonly LegendEntry[] {
  const shown = new Set(studies.flatMap((m) => momentumShares(m).map((s) => s.role)));
  return [
    ...ROLE_NAMES.filter((role) => shown.has(role)).map((role) => [role, nameOf(role)] as const),
    [levelLine({ stroke: "currentColor", "stroke-width": 1.5 }), "the whole"],
  ];
}

const NAME = "momentum";

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
export function momentumChart(momentum: Momentum, score?: Score, options: RolesChartOptions = {}): Chart {
  checkArgument("draw the momentum chart", momentum, A_MOMENTUM);
  const { width, height = 260, title } = checkedOptions("momentum chart", options, {
    texture: A_TEXTURE,
  });
  const axis = axisOfRows(momentum.perBar, checkedScore("momentum chart", score));
  const scale = barScale(axis, { width });
  const shares = momentumShares(momentum);
  const top = niceTop(Math.max(...momentum.perBar.map((b) => b.momentum), ...shares.map((s) => s.to), 0.5));
  const bottom = Math.min(0, ...shares.map((s) => s.to));
  return barsFrame({
    name: NAME,
    scale,
    title: title ?? momentumTitle(momentum, axis),
    label:
      `Momentum along ${counted(momentum.perBar.length, "bar")}, ${momentum.whole.momentum.toFixed(1)} ` +
      "driving attacks per second on average, stacked by role",
    legend: momentumLegend([momentum], roleNames(options.texture, score)),
    panels: [{
      heading: "driving attacks per second",
      height,
      domain: [bottom, top],
      marks: [...valueAxis({ bottom, top, height }), ...momentumMarks(momentum, NAME, scale)],
    }],
  });
}
