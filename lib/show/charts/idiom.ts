import * as Plot from "@observablehq/plot";
import { AN_IDIOM, checkArgument } from "../../base/arguments.ts";
import type { Idiom, IdiomBar, UnusualUse } from "../../measures/idiom/idiom_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows } from "../drawing/bar_axis.ts";
import { barScale, MARGIN_LEFT } from "../drawing/bar_scale.ts";
import type { LegendEntry } from "../drawing/frame.ts";
import { type BarPanel, barsFrame } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { type Chart, h } from "../drawing/svg.ts";
import { hue } from "../drawing/theme.ts";
import { counted } from "../drawing/words.ts";
import { namesMargin, partNames } from "../panels/part_names.ts";
import { shareCurvePanel, shareCurveSign } from "../panels/share_curve_panel.ts";
import { idiomTitle } from "../titles/craft_titles.ts";

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
  const { width, height = 130, title } = checkedOptions("idiom chart", options);
  const { perBar, whole, unusual } = idiom;
  const bars = unusualBars(unusual);
  const names = [...bars].sort(([, a], [, b]) => b - a).slice(0, MOST_PARTS).map(([name]) => name);
  const marginLeft = names.length === 0 ? MARGIN_LEFT : namesMargin(names, width);
  const scale = barScale(axisOfRows(perBar, checkedScore("idiom chart", score)), { width, marginLeft });
  const average = whole.idiom === null ? "nothing counted" : `${whole.idiom.toFixed(2)} on average`;
  return barsFrame({
    name: NAME,
    scale,
    title: title ?? idiomTitle(idiom),
    label: `How usual it is what instruments do along ${counted(perBar.length, "bar")}, ${average}, with ` +
      counted(unusual.length, "unusual place"),
    legend: legendOf(unusual.length > 0),
    panels: [
      shareCurvePanel(perBar, {
        heading:
          "how usual it is what the instruments do, mean: 1 as most often in the scores counted, 0 never",
        height: Math.max(60, height),
        colour: CURVE,
        valueOf: (b) => b.idiom ?? 0,
        wordsOf,
      }),
      ...unusualPanel(unusual, { bars, names, marginLeft }),
    ],
  });
}

function legendOf(isUnusual: boolean): readonly LegendEntry[] {
  const box = h("rect", { x: 0, y: 3, width: 22, height: 10, fill: UNUSUAL });
  return [
    [shareCurveSign(CURVE), "usualness"],
    ...isUnusual ? [[box, "unusual for the instrument"] as const] : [],
  ];
}

const wordsOf = (b: IdiomBar) =>
  `bar ${b.bar}: ${b.idiom === null ? "nothing counted" : b.idiom.toFixed(2)}, ${
    counted(b.unusual, "part")
  } unusual`;

/** How many bars are unusual, by part. */
function unusualBars(unusual: readonly UnusualUse[]): ReadonlyMap<string, number> {
  const bars = new Map<string, number>();
  for (const u of unusual) {
    bars.set(u.partName, (bars.get(u.partName) ?? 0) + u.toBarIndex + 1 - u.fromBarIndex);
  }
  return bars;
}

/** A row per part with unusual bars. */
function unusualPanel(
  unusual: readonly UnusualUse[],
  { bars, names, marginLeft }: {
    readonly bars: ReadonlyMap<string, number>;
    /** Of the parts that are drawn. */
    readonly names: readonly string[];
    readonly marginLeft: number;
  },
): readonly BarPanel[] {
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
    ],
    over: [partNames(names, { marginLeft, yOf: (row) => (row + 0.5) * ROW + 4 })],
  }];
}
