import * as Plot from "@observablehq/plot";
import type { FoundPlan } from "../../orchestrate/search/search_results.ts";
import { cannotDraw, type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartFrame, type FrameBlock } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { plotBlock } from "../drawing/plot_block.ts";
import { headWords, rowNames } from "../drawing/plot_texts.ts";
import type { Chart } from "../drawing/svg.ts";
import { textWidth } from "../drawing/text_width.ts";
import { hue, PAPER } from "../drawing/theme.ts";
import { counted, percent } from "../drawing/words.ts";

const NAME = "found-plans";
const SIDE = 12;
const [HEAD, FOOT] = [52, 12];
const ROW = 22;
const FIGURE_ROOM = 108;
const UNIT = "momentum, driving attacks per second";

/** One passage of one plan, wanted and reached. */
interface PassageBar {
  /** Its place from the top. */
  readonly i: number;
  readonly passage: string;
  readonly wanted: number;
  readonly reached: number;
  readonly met: boolean;
}

/**
 * Plans that were found, one below the other: for each passage the momentum that was reached as a bar and the momentum that was
 * wanted as a line across it, and above them how the plan does as a whole, with how far it follows a contour where one was
 * wished for, so that what one plan trades for another can be read downwards.
 *
 * @param plans plans, as from `search`
 * @param options width, height of one plan, title
 * @returns the chart
 * @throws {InputError} when there are no plans, no momentum was wanted, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch } from "ripieno";
 * import { judgePlan } from "ripieno/orchestrate";
 * import { chartSvg, foundPlansChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const wishes = { passages: [{ name: "Rapids", fromBar: 17, toBar: 24, momentum: 5 }] };
 * const judged = judgePlan(demoSketch(), demoPlans().rotating, { wishes });
 * assertStringIncludes(chartSvg(foundPlansChart([judged])), "Rapids");
 * ```
 */
export function foundPlansChart(plans: readonly FoundPlan[], options: ChartOptions = {}): Chart {
  const { width, height, title } = checkedOptions("chart of found plans", options);
  if (!Array.isArray(plans) || plans.length === 0) {
    throw cannotDraw("chart of found plans", "there are no plans", "Give the plans that search() returns");
  }
  const rows = plans.map((plan) => ({ plan, bars: barsOf(plan) }));
  if (rows[0]!.bars.length === 0) {
    throw cannotDraw(
      "chart of found plans",
      "no momentum was wanted",
      "Wish a momentum for a passage at least",
    );
  }
  const all = rows.flatMap(({ bars }) => bars);
  const panel: PlansPanel = {
    width,
    height: height ?? HEAD + FOOT + ROW * Math.max(...rows.map(({ bars }) => bars.length)),
    left: SIDE + Math.min(width * 0.3, Math.max(...all.map((b) => textWidth(b.passage, 12))) + 12),
    top: Math.max(0.5, ...all.flatMap((b) => [b.wanted, b.reached])),
  };
  return chartFrame({
    name: NAME,
    width,
    title: title ?? plansMetInWords(plans),
    label: rows.map(({ plan, bars }) =>
      `${plan.plan.name}: ${
        bars.map((b) => `${b.passage} momentum ${figureOf(b.reached, panel.top)}, wanted ${b.wanted}`).join(
          "; ",
        )
      }`
    ).join(". "),
    legend: [],
    blocks: rows.map((row) => planBlock(row, panel)),
  });
}

/** A momentum as it is written beside others: small ones differ in hundredths. */
const figureOf = (value: number, top: number) => value.toFixed(top < 2 ? 2 : 1);

function barsOf({ reached }: FoundPlan): readonly PassageBar[] {
  return reached.filter((r) => r.about === "momentum").map(({ passage, wanted, reached, met }, i) => ({
    i,
    passage,
    wanted: wanted ?? 0,
    reached: reached ?? 0,
    met,
  }));
}

/** How many plans meet all that was wished, in words. */
export function plansMetInWords(plans: readonly FoundPlan[]): string {
  const all = plans.filter((p) => p.reached.every((r) => r.met)).length;
  if (plans.length === 1) {
    return all === 1 ? "The plan meets every wish" : `The plan misses ${missed(plans[0]!)}`;
  }
  return all === plans.length
    ? `All ${plans.length} plans meet every wish`
    : all === 0
    ? `No plan meets every wish; the first misses ${missed(plans[0]!)}`
    : `${all} of ${plans.length} plans ${all === 1 ? "meets" : "meet"} every wish`;
}

function missed({ reached }: FoundPlan): string {
  return `${reached.filter((r) => !r.met).length} of ${reached.length} wishes`;
}

/** What the blocks share. */
interface PlansPanel {
  readonly width: number;
  /** Height of one plan. */
  readonly height: number;
  /** Room for the names of passages. */
  readonly left: number;
  /** The largest momentum. */
  readonly top: number;
}

function planBlock(
  { plan, bars }: { readonly plan: FoundPlan; readonly bars: readonly PassageBar[] },
  { width, height, left, top }: PlansPanel,
): FrameBlock {
  const { measures } = plan;
  const heard = measures.audibleShare === null ? "alone" : percent(measures.audibleShare);
  const contour = measures.contour === null ? "" : `, contour followed ${measures.contour.toFixed(2)}`;
  const whole = `lead heard ${heard}, freshness ${measures.freshness.toFixed(2)}${contour}, ${
    counted(measures.findings, "finding")
  }`;
  return plotBlock({
    label: plan.plan.name,
    width,
    height,
    marginLeft: left,
    marginRight: FIGURE_ROOM,
    marginTop: HEAD,
    marginBottom: FOOT,
    x: { domain: [0, top] },
    y: { type: "band", domain: bars.map((b) => b.i), padding: 0.25 },
    marks: [
      headWords(plan.plan.name, { dx: SIDE - left, dy: 14 - HEAD, size: 12, weight: 600 }),
      headWords(whole, { dx: SIDE - left, dy: 29 - HEAD, size: 11 }),
      headWords(UNIT, { dy: 44 - HEAD, size: 10, opacity: 0.72 }),
      rowNames(bars, { y: "i", nameOf: (b) => b.passage, room: left - SIDE - 10, size: 12 }),
      ...wantedMarks(bars, top),
      Plot.ruleX([0], { strokeOpacity: 0.6 }),
    ],
  });
}

/** What is reached in each passage as a bar, what is wanted as a line across it, both in figures. */
function wantedMarks(bars: readonly PassageBar[], top: number): Plot.Markish[] {
  const inRow = { y: "i" } as const;
  return [
    Plot.barX(bars, {
      ...inRow,
      x: "reached",
      fill: hue("navy"),
      fillOpacity: (b: PassageBar) => b.met ? 1 : 0.45,
      title: (b: PassageBar) => `${b.passage}: ${b.reached.toFixed(2)}, wanted ${b.wanted}`,
      ...namedMark("reached"),
    }),
    Plot.tickX(bars, {
      ...inRow,
      x: "wanted",
      stroke: PAPER,
      strokeWidth: 6,
      insetTop: -3,
      insetBottom: -3,
    }),
    Plot.tickX(bars, {
      ...inRow,
      x: "wanted",
      stroke: "currentColor",
      strokeWidth: 2.5,
      insetTop: -3,
      insetBottom: -3,
      ...namedMark("wanted"),
    }),
    Plot.text(bars, {
      ...inRow,
      x: (b: PassageBar) => Math.max(b.reached, b.wanted),
      text: (b: PassageBar) => `${figureOf(b.reached, top)}${b.met ? "" : `, wanted ${b.wanted}`}`,
      textAnchor: "start",
      dx: 6,
      fontSize: 11,
    }),
  ];
}
