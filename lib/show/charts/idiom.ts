import * as Plot from "@observablehq/plot";
import { AN_IDIOM, checkArgument } from "../../base/arguments.ts";
import type { Idiom, IdiomBar, UnusualUse } from "../../measures/idiom/idiom_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows } from "../drawing/bar_axis.ts";
import { barBoxes, stepLine, stepsOf } from "../drawing/bar_marks.ts";
import { barScale } from "../drawing/bar_scale.ts";
import type { LegendEntry } from "../drawing/frame.ts";
import { type BarPanel, barsFrame } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { type Chart, h } from "../drawing/svg.ts";
import { hue, INK, PAPER } from "../drawing/theme.ts";
import { valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";

const NAME = "idiom";
const CURVE = hue("violet");
const UNUSUAL = hue("amber");
const ROW = 16;
/** Parts whose unusual bars are drawn, those with most of them. */
const MOST_PARTS = 12;

/**
 * How usual it is what the instruments do: the curve, mean over the parts; below it, a row for each part that has unusual
 * bars, those with most of them first.
 *
 * @param idiom the measure
 * @param score the score, for the names of passages
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { idiom } from "ripieno/measures";
 * import { chartSvg, idiomChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * assertStringIncludes(chartSvg(idiomChart(idiom(demoScore()), demoScore())), "usual");
 * ```
 */
export function idiomChart(idiom: Idiom, score?: Score, options: ChartOptions = {}): Chart {
  checkArgument("draw the idiom chart", idiom, AN_IDIOM);
  const { width, height = 130, title = "Idiom" } = checkedOptions("idiom chart", options);
  const { perBar, whole, unusual } = idiom;
  const scale = barScale(axisOfRows(perBar, checkedScore("idiom chart", score)), { width });
  const average = whole.idiom === null ? "nothing counted" : `${whole.idiom.toFixed(2)} on average`;
  return barsFrame({
    name: NAME,
    scale,
    title,
    label: `How usual it is what instruments do along ${counted(perBar.length, "bar")}, ${average}, with ` +
      counted(unusual.length, "unusual place"),
    legend: legendOf(unusual.length > 0),
    panels: [curvePanel(perBar, Math.max(60, height)), ...unusualPanel(unusual)],
  });
}

function legendOf(isUnusual: boolean): readonly LegendEntry[] {
  const curve = h("path", { d: "M0 11H8V5H22", fill: "none", stroke: CURVE, "stroke-width": 1.8 });
  const box = h("rect", { x: 0, y: 3, width: 22, height: 10, fill: UNUSUAL });
  return [[curve, "usualness"], ...isUnusual ? [[box, "unusual for the instrument"] as const] : []];
}

function curvePanel(perBar: readonly IdiomBar[], height: number): BarPanel {
  const curve = stepsOf(perBar, (b) => b.idiom ?? 0);
  return {
    heading: "how usual it is what the instruments do, mean: 1 as most often in the scores counted, 0 never",
    height,
    domain: [0, 1.06],
    marks: [
      ...valueAxis({ bottom: 0, top: 1, height }),
      Plot.areaY(curve, { x: "x", y1: 0, y2: "y", fill: CURVE, fillOpacity: 0.14, ...namedMark("area") }),
      stepLine("curve", curve, { stroke: CURVE, strokeWidth: 1.8 }),
      barBoxes("bars", perBar, {
        fill: "transparent",
        title: (b) =>
          `bar ${b.bar}: ${b.idiom === null ? "nothing counted" : b.idiom.toFixed(2)}, ${
            counted(b.unusual, "part")
          } unusual`,
      }),
    ],
  };
}

/** A row per part with unusual bars. */
function unusualPanel(unusual: readonly UnusualUse[]): readonly BarPanel[] {
  const bars = new Map<string, number>();
  for (const u of unusual) {
    bars.set(u.partName, (bars.get(u.partName) ?? 0) + u.toBarIndex + 1 - u.fromBarIndex);
  }
  const names = [...bars].sort(([, a], [, b]) => b - a).slice(0, MOST_PARTS).map(([name]) => name);
  if (names.length === 0) return [];
  const rows = unusual.filter((u) => names.includes(u.partName));
  const rowOf = (u: { readonly partName: string }) => names.length - 1 - names.indexOf(u.partName);
  const more = bars.size - names.length;
  return [{
    heading: `where a part does what is unusual for its instrument${
      more > 0 ? `; ${counted(more, "part")} with fewer such bars left out` : ""
    }`,
    height: names.length * ROW,
    domain: [0, names.length],
    marks: [
      Plot.rect(rows, {
        x1: "fromBarIndex",
        x2: (u: UnusualUse) => u.toBarIndex + 1,
        y1: (u: UnusualUse) => rowOf(u) + 0.12,
        y2: (u: UnusualUse) => rowOf(u) + 0.88,
        fill: UNUSUAL,
        title: (u: UnusualUse) => `${u.partName}, bar ${u.bar}: ${u.role}, ${u.register} and ${u.dynamic}`,
        ...namedMark("unusual"),
      }),
      Plot.text(names.map((partName) => ({ partName })), {
        frameAnchor: "left",
        y: (d: { readonly partName: string }) => rowOf(d) + 0.5,
        text: "partName",
        textAnchor: "start",
        dx: 3,
        fill: INK,
        stroke: PAPER,
        strokeWidth: 3,
        fontSize: 10,
        ...namedMark("unusual-parts"),
      }),
    ],
  }];
}
