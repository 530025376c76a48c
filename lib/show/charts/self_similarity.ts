import { greatestOf } from "../../base/extremes.ts";
import { A_FRESHNESS, A_RECORD, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import type { Freshness, FreshnessBar, FreshnessChange } from "../../measures/freshness/freshness_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows, type BarAxis, barTicks } from "../drawing/bar_axis.ts";
import { type BarScale, barScale, MARGIN_LEFT } from "../drawing/bar_scale.ts";
import { type BarPanel, barsFrame } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import type { LegendEntry } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { pngAddress } from "../drawing/png.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";
import { similarityTitle } from "../titles/change_titles.ts";
import { hue } from "../drawing/theme.ts";

const NAME = "self-similarity";
const WIDTH = 640;
const NOVELTY_HEIGHT = 90;
const CHANGE = hue("wine");
const CURVE = hue("teal");
/** Red, green and blue, 0 to 255. */
type Colour = readonly [number, number, number];

/** From unlike to alike: lighter to darker throughout, so that a grey copy says the same. */
const LADDER: readonly Colour[] = [
  [253, 250, 240],
  [216, 222, 190],
  [126, 178, 165],
  [47, 106, 102],
  [22, 38, 58],
];
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
  const { width, height, title } = checkedOptions("self-similarity chart", {
    width: WIDTH,
    ...options,
  });
  const axis = axisOfRows(freshness.perBar, checkedScore("self-similarity chart", score));
  const scale = barScale(axis, { width });
  const lightest = lowEnd(freshness.similarity);
  return barsFrame({
    name: NAME,
    scale,
    title: title ?? similarityTitle(freshness, axis),
    label:
      `Self-similarity of ${counted(freshness.perBar.length, "bar")} in scoring, activity, register and ` +
      `dynamics, and where something new begins, with ${counted(freshness.changes.length, "change point")}`,
    legend: legend(lightest, freshness.changes.length > 0),
    panels: [
      squarePanel(freshness, scale, { lightest, side: height ?? scale.barsWidth }),
      noveltyPanel(freshness),
    ],
  });
}

/** Every bar against every other. */
function squarePanel(
  freshness: Freshness,
  { axis, barsWidth }: BarScale,
  { lightest, side }: { readonly lightest: number; readonly side: number },
): BarPanel {
  return {
    heading: isWhole(freshness)
      ? "every bar against every other"
      : "every bar against every other: only in scores of up to 2000 bars",
    height: side,
    domain: [axis.toBarIndex + 1, axis.fromBarIndex],
    marks: [],
    over: [
      matrixImage(freshness, { lightest, width: barsWidth, height: side }),
      ...barNumbersDown(axis, side),
    ],
  };
}

function noveltyPanel({ perBar, changes }: Freshness): BarPanel {
  const top = greatestOf(perBar.map((b) => b.novelty), 0.2);
  return {
    heading: "novelty: how much of what is heard begins here",
    height: NOVELTY_HEIGHT,
    domain: [0, top],
    marks: [
      ...valueAxis({ bottom: 0, top, height: NOVELTY_HEIGHT }),
      Plot.ruleX(changes, {
        x: "barIndex",
        stroke: CHANGE,
        strokeOpacity: changes.length > 40 ? 0.25 : 0.5,
        title: (c: FreshnessChange) => `bar ${c.bar}: ${c.what}`,
        ...namedMark("change-lines"),
      }),
      Plot.line(perBar, {
        x: "barIndex",
        y: (b: FreshnessBar) => Math.max(0, b.novelty),
        stroke: CURVE,
        strokeWidth: 1.4,
        ...namedMark("novelty"),
      }),
      Plot.rect(perBar, {
        x1: (b: FreshnessBar) => b.barIndex - 0.5,
        x2: (b: FreshnessBar) => b.barIndex + 0.5,
        y1: () => 0,
        y2: () => top,
        fill: "transparent",
        title: (b: FreshnessBar) => `bar ${b.bar}: novelty ${b.novelty.toFixed(2)}`,
        ...namedMark("bars"),
      }),
    ],
  };
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

/** True where every bar was compared with every other. */
function isWhole({ perBar, similarity }: Freshness): boolean {
  return perBar.length > 0 && similarity.length === perBar.length ** 2;
}

/** One pixel for every two bars: as rectangles they would be hundreds of thousands. */
function matrixImage(
  freshness: Freshness,
  { lightest, ...size }: { readonly lightest: number; readonly width: number; readonly height: number },
): SVGElement {
  const known = isWhole(freshness) ? freshness.similarity : [lightest];
  const side = Math.sqrt(known.length);
  const colours = known.flatMap((likeness) => [...colourOf((likeness - lightest) / (1 - lightest)), 255]);
  return h("image", {
    class: "matrix",
    href: pngAddress({ width: side, height: side, data: Uint8ClampedArray.from(colours) }),
    x: MARGIN_LEFT,
    y: 0,
    ...size,
    preserveAspectRatio: "none",
    style: "image-rendering:pixelated",
  });
}

/** Bar numbers down the left side, where they stand below the square as well. */
function barNumbersDown(axis: BarAxis, side: number): readonly SVGElement[] {
  const count = axis.toBarIndex + 1 - axis.fromBarIndex;
  return barTicks(axis, side).flatMap(({ barIndex, number }) => {
    const y = (barIndex - axis.fromBarIndex) / count * side;
    const d = `M${MARGIN_LEFT - 5} ${y}H${MARGIN_LEFT}`;
    return [
      h("path", { d, stroke: "currentColor", "stroke-opacity": 0.6 }),
      svgText({ text: number, x: MARGIN_LEFT - 8, y: y + 10, anchor: "end" }),
    ];
  });
}

/** The colours in words, and the sign of a change. */
function legend(lightest: number, hasChanges: boolean): readonly LegendEntry[] {
  const shade = (share: number) =>
    h("rect", {
      x: 0,
      y: 1,
      width: 22,
      height: 14,
      fill: `rgb(${colourOf(share).join(",")})`,
      stroke: "currentColor",
      "stroke-opacity": 0.3,
    });
  const line = h("path", { d: "M11 0V16", stroke: CHANGE, "stroke-width": 1.5 });
  return [
    [shade(1), "the same"],
    [shade(0.5), "in between"],
    [shade(0), `alike by ${lightest.toFixed(2)} or less`],
    ...(hasChanges ? [[line, "change point"] as const] : []),
  ];
}
