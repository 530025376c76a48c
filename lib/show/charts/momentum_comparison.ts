import { greatestOf, leastOf } from "../../base/extremes.ts";
import { A_STUDY, checkArgument, listOf } from "../../base/arguments.ts";
import type { Study } from "../../measures/compare/study_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows } from "../drawing/bar_axis.ts";
import { barScale } from "../drawing/bar_scale.ts";
import { barsFrame } from "../drawing/bars_frame.ts";
import { cannotDraw, type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import type { Chart } from "../drawing/svg.ts";
import { niceTop, valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";
import { momentumLegend, momentumMarks, momentumShares } from "./momentum.ts";
import { momentaTitle } from "../titles/motion_titles.ts";

const NAME = "momenta";

const STUDIES = listOf(A_STUDY, "a list of studies");

/**
 * Momentum of several settings below each other, on one scale: the same tune, dressed differently.
 *
 * @param studies the studies, as from `study`
 * @param score a score, for the names of passages
 * @param options width, height of all panels together, title
 * @returns the chart
 * @throws {InputError} when there are no studies, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore, study } from "ripieno";
 * import { chartSvg, momentumComparisonChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = momentumComparisonChart([study(demoScore(), { name: "moving" })]);
 * assertStringIncludes(chartSvg(chart), "moving");
 * ```
 */
export function momentumComparisonChart(
  studies: readonly Study[],
  score?: Score,
  options: ChartOptions = {},
): Chart {
  checkArgument("draw the momentum comparison chart", studies, STUDIES);
  const { width, height, title } = checkedOptions(
    "momentum comparison chart",
    options,
  );
  const [longest] = studies.toSorted((a, b) => b.momentum.perBar.length - a.momentum.perBar.length);
  if (longest === undefined) {
    throw cannotDraw(
      "momentum comparison chart",
      "there are no studies to compare",
      "Give an array of what study() returns",
    );
  }
  const measures = studies.map((s) => s.momentum);
  const axis = axisOfRows(longest.momentum.perBar, checkedScore("momentum comparison chart", score));
  const scale = barScale(axis, { width });
  const values = measures.flatMap((m) => [
    ...m.perBar.map((b) => b.momentum),
    ...momentumShares(m).map((s) => s.to),
  ]);
  const top = niceTop(greatestOf(values, 0.5));
  const bottom = leastOf(values, 0);
  const panelHeight = height === undefined ? 110 : height / studies.length;
  return barsFrame({
    name: NAME,
    scale,
    title: title ?? momentaTitle(studies),
    note: "Driving attacks per second; one scale for all.",
    label: `Momentum of ${counted(studies.length, "setting")} along the bars: ${
      studies.map((s) => `${s.name} ${s.momentum.whole.momentum.toFixed(1)} on average`).join(", ")
    }`,
    legend: momentumLegend(measures),
    panels: studies.map((s) => ({
      heading: `${s.name} (mean ${s.momentum.whole.momentum.toFixed(2)})`,
      height: panelHeight,
      domain: [bottom, top] as const,
      marks: [
        ...valueAxis({ bottom, top, height: panelHeight }),
        ...momentumMarks(s.momentum, NAME, scale),
      ],
    })),
  });
}
