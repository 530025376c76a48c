import { A_FRESHNESS, A_RECORD, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import type { Freshness, FreshnessBar, FreshnessChange } from "../../measures/freshness/freshness_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows, type BarAxis, barTicks } from "../drawing/bar_axis.ts";
import { barsFrame, barsWidth } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import type { LegendEntry } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { type Colour, pngAddress } from "../drawing/raster.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";

const NAME = "self-similarity";
const MARGIN_LEFT = 52;
const WIDTH = 640;
const NOVELTY_HEIGHT = 90;
const CHANGE = "#981230";
const CURVE = "#2f6a66";
/** From unlike to alike: lighter to darker throughout, so that a grey copy says the same. */
const LADDER: readonly Colour[] = [[253, 250, 240], [216, 222, 190], [126, 178, 165], [47, 106, 102], [
  22,
  38,
  58,
]];
/** The share of all pairs of bars that may be as light as the ladder goes. */
const LIGHTEST_SHARE = 0.02;

/**
 * How alike any two bars are, and where something new begins: a square with the bars along both sides, dark where two
 * bars do the same, and below it the novelty curve on the same bars. Blocks along the diagonal are passages that stay
 * as they are; dark stripes away from it are passages that come back.
 *
 * @param freshness the measure
 * @param score the score, for the names of passages
 * @param options width, height of the square, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore, freshness } from "ripieno";
 * import { chartSvg, selfSimilarityChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = selfSimilarityChart(freshness(demoScore()), demoScore());
 * assertStringIncludes(chartSvg(chart), "novelty");
 * ```
 */
export function selfSimilarityChart(freshness: Freshness, score?: Score, options: ChartOptions = {}): Chart {
  checkArgument("draw the self-similarity chart", options, A_RECORD, "options");
  checkArgument("draw the self-similarity chart", freshness, A_FRESHNESS);
  const { width, height, title = "What is like what" } = checkedOptions("self-similarity chart", {
    width: WIDTH,
    ...options,
  });
  const axis = axisOfRows(freshness.perBar, checkedScore("self-similarity chart", score));
  const bars = barsWidth({ width, marginLeft: MARGIN_LEFT });
  const side = height ?? bars;
  const lightest = lowEnd(freshness.similarity);
  const top = freshness.perBar.reduce((most, b) => Math.max(most, b.novelty), 0.2);
  return barsFrame({
    name: NAME,
    width,
    title,
    label:
      `Self-similarity of ${counted(freshness.perBar.length, "bar")} in scoring, activity, register and ` +
      `dynamics, and where something new begins, with ${counted(freshness.changes.length, "change point")}`,
    legend: legend(lightest, freshness.changes.length > 0),
    axis,
    marginLeft: MARGIN_LEFT,
    panels: [
      {
        heading: isWhole(freshness)
          ? "every bar against every other"
          : "every bar against every other: only in scores of up to 2000 bars",
        height: side,
        domain: [axis.toBarIndex + 1, axis.fromBarIndex],
        marks: [],
        over: [
          matrixImage({ freshness, lightest, bars, side }),
          ...barNumbersDown({ axis, side }),
        ],
      },
      {
        heading: "novelty: how much of what is heard begins here",
        height: NOVELTY_HEIGHT,
        domain: [0, top],
        marks: [
          ...valueAxis({ bottom: 0, top, height: NOVELTY_HEIGHT }),
          Plot.ruleX(freshness.changes, {
            x: (c: FreshnessChange) => c.barIndex,
            stroke: CHANGE,
            strokeOpacity: freshness.changes.length > 40 ? 0.25 : 0.5,
            title: (c: FreshnessChange) => `bar ${c.bar}: ${c.what}`,
            ...namedMark("change-lines"),
          }),
          Plot.line(freshness.perBar, {
            x: (b: FreshnessBar) => b.barIndex,
            y: (b: FreshnessBar) => Math.max(0, b.novelty),
            stroke: CURVE,
            strokeWidth: 1.4,
            ...namedMark("novelty"),
          }),
          Plot.rect(freshness.perBar, {
            x1: (b: FreshnessBar) => b.barIndex - 0.5,
            x2: (b: FreshnessBar) => b.barIndex + 0.5,
            y1: () => 0,
            y2: () => top,
            fill: "transparent",
            title: (b: FreshnessBar) => `bar ${b.bar}: novelty ${b.novelty.toFixed(2)}`,
            ...namedMark("bars"),
          }),
        ],
      },
    ],
  });
}

/** Likeness below which all is as light as it gets. */
function lowEnd(similarity: readonly number[]): number {
  if (similarity.length === 0) return 0;
  const sorted = Float64Array.from(similarity).sort();
  return Math.min(0.95, sorted[Math.floor(LIGHTEST_SHARE * sorted.length)]!);
}

function colourOf(share: number): Colour {
  const place = Math.min(1, Math.max(0, share)) * (LADDER.length - 1);
  const step = Math.min(LADDER.length - 2, Math.floor(place));
  const [a, b] = [LADDER[step]!, LADDER[step + 1]!];
  const mix = (k: 0 | 1 | 2) => Math.round(a[k] + (b[k] - a[k]) * (place - step));
  return [mix(0), mix(1), mix(2)];
}

/** What the square is drawn from. */
interface Square {
  readonly freshness: Freshness;
  readonly lightest: number;
  readonly bars: number;
  readonly side: number;
}

/** True where every bar was compared with every other. */
function isWhole({ perBar, similarity }: Freshness): boolean {
  return perBar.length > 0 && similarity.length === perBar.length ** 2;
}

function matrixImage({ freshness, lightest, bars, side }: Square): SVGElement {
  const n = freshness.perBar.length;
  const known = isWhole(freshness) ? freshness.similarity : undefined;
  const size = known === undefined ? 1 : n;
  const href = pngAddress(
    { width: size, height: size },
    (column, row) =>
      colourOf(known === undefined ? 0 : (known[row * n + column]! - lightest) / (1 - lightest)),
  );
  return h("image", {
    class: "matrix",
    href,
    x: MARGIN_LEFT,
    y: 0,
    width: bars,
    height: side,
    preserveAspectRatio: "none",
    style: "image-rendering:pixelated",
  });
}

/** Bar numbers down the left side, where they stand below the square as well. */
function barNumbersDown(
  { axis, side }: { readonly axis: BarAxis; readonly side: number },
): readonly SVGElement[] {
  const count = axis.toBarIndex + 1 - axis.fromBarIndex;
  return barTicks(axis, side).flatMap(({ barIndex, number }) => {
    const y = (barIndex - axis.fromBarIndex) / count * side;
    return [
      h("path", {
        d: `M${MARGIN_LEFT - 5} ${y}H${MARGIN_LEFT}`,
        stroke: "currentColor",
        "stroke-opacity": 0.6,
      }),
      svgText({ text: number, x: MARGIN_LEFT - 8, y: y + 10, anchor: "end" }),
    ];
  });
}

function legend(lightest: number, hasChanges: boolean): readonly LegendEntry[] {
  const patch = (share: number) =>
    h("rect", {
      x: 0,
      y: 1,
      width: 22,
      height: 14,
      fill: `rgb(${colourOf(share).join(",")})`,
      stroke: "currentColor",
      "stroke-opacity": 0.3,
    });
  const line = (stroke: string) => h("path", { d: "M11 0V16", stroke, "stroke-width": 1.5 });
  return [
    { sign: { drawn: patch(1) }, label: "the same" },
    { sign: { drawn: patch(0.5) }, label: "in between" },
    { sign: { drawn: patch(0) }, label: `alike by ${lightest.toFixed(2)} or less` },
    ...hasChanges ? [{ sign: { drawn: line(CHANGE) }, label: "change point" }] : [],
  ];
}
