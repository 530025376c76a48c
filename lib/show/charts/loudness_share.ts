import { A_BALANCE, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import { BALANCE_CAUTION } from "../drawing/balance_caution.ts";
import type { Balance, BalanceBar } from "../../measures/balance/balance_results.ts";
import type { Score } from "../../score/model.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { axisOfRows } from "../drawing/bar_axis.ts";
import { type BarPanel, barsFrame, barsWidth } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { roleFill } from "../drawing/frame.ts";
import { joinedFills } from "../drawing/joined_fills.ts";
import { namedMark } from "../drawing/named_mark.ts";
import type { Chart } from "../drawing/svg.ts";
import { niceTop, valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";

/** What one role has of one bar's loudness: one mark of the chart. */
interface LoudnessShare {
  readonly barIndex: number;
  readonly role: Role;
  readonly from: number;
  readonly to: number;
}

const NAME = "loudness-share";
const MARGIN_LEFT = 52;

/**
 * Who makes the loudness, along the bars: above, how loud everything is together; below, how the loudness is shared
 * out, from the lead at the top to the background at the bottom, each layer as it is heard beside the others.
 *
 * @param balance the measure
 * @param score the score, for the names of passages
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { balance, demoScore } from "ripieno";
 * import { chartSvg, loudnessShareChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = loudnessShareChart(balance(demoScore()), demoScore());
 * assertStringIncludes(chartSvg(chart), "sones");
 * ```
 */
export function loudnessShareChart(balance: Balance, score?: Score, options: ChartOptions = {}): Chart {
  checkArgument("draw the loudness share chart", balance, A_BALANCE);
  const { width, height = 260, title = "Who makes the loudness?" } = checkedOptions(
    "loudness share chart",
    options,
  );
  const axis = axisOfRows(balance.perBar, checkedScore("loudness share chart", score));
  const pixelsPerBar = barsWidth({ width, marginLeft: MARGIN_LEFT }) / Math.max(1, balance.perBar.length);
  const shares = loudnessShares(balance);
  const shown = ROLE_NAMES.filter((role) => shares.some((s) => s.role === role));
  const number = (bar: number) => axis.numbers[bar - axis.fromBarIndex] ?? String(bar + 1);
  return barsFrame({
    name: NAME,
    width,
    title,
    note: title === "" ? "" : BALANCE_CAUTION,
    label: `Shares of the loudness along ${counted(balance.perBar.length, "bar")}, by role: ${
      shown.map((role) => `${role} ${Math.round(100 * meanShare(shares, role, balance))} per cent`).join(", ")
    }`,
    legend: shown.map((role) => ({ sign: { role }, label: role })),
    axis,
    marginLeft: MARGIN_LEFT,
    panels: [
      loudnessPanel(balance, { height: height * 0.3, pixelsPerBar }),
      {
        heading: "share of the loudness, as heard beside the others",
        height: height * 0.7,
        domain: [0, 1],
        marks: [
          ...valueAxis({ bottom: 0, top: 1, height: height * 0.7 }),
          Plot.rect(shares, {
            x1: (s: LoudnessShare) => s.barIndex,
            x2: (s: LoudnessShare) => s.barIndex + 1,
            y1: (s: LoudnessShare) => s.from,
            y2: (s: LoudnessShare) => s.to,
            insetRight: pixelsPerBar > 5 ? 1 : 0,
            shapeRendering: pixelsPerBar > 5 ? "auto" : "crispEdges",
            fill: (s: LoudnessShare) => roleFill(NAME, s.role),
            title: (s: LoudnessShare) =>
              `bar ${number(s.barIndex)}: ${s.role} has ${
                Math.round(100 * (s.to - s.from))
              } % of the loudness`,
            ...joinedFills("loudness-shares"),
          }),
        ],
      },
    ],
  });
}

/** Loudness of everything, as steps. */
function loudnessPanel(
  balance: Balance,
  { height, pixelsPerBar }: { readonly height: number; readonly pixelsPerBar: number },
): BarPanel {
  const top = niceTop(Math.max(1, ...balance.perBar.map((b) => b.loudnessSones)));
  return {
    heading: "loudness of everything together, sones",
    height,
    domain: [0, top],
    marks: [
      ...valueAxis({ bottom: 0, top, height }),
      Plot.rect(balance.perBar, {
        x1: (b: BalanceBar) => b.barIndex,
        x2: (b: BalanceBar) => b.barIndex + 1,
        y1: () => 0,
        y2: (b: BalanceBar) => b.loudnessSones,
        fill: "currentColor",
        fillOpacity: 0.14,
        title: (b: BalanceBar) => `bar ${b.bar}: ${b.loudnessSones.toFixed(0)} sones`,
        ...namedMark("loudness"),
      }),
      Plot.line(
        balance.perBar.flatMap((b) => [{ x: b.barIndex, y: b.loudnessSones }, {
          x: b.barIndex + 1,
          y: b.loudnessSones,
        }]),
        {
          x: "x",
          y: "y",
          stroke: "currentColor",
          strokeWidth: pixelsPerBar > 3 ? 1.3 : 0.7,
          ...namedMark("loudness-line"),
        },
      ),
    ],
  };
}

/** Stacks the roles' shares of each bar, from the background up to the lead. */
function loudnessShares(balance: Balance): readonly LoudnessShare[] {
  const bars = Map.groupBy(balance.perLayer, (l) => l.barIndex);
  return [...bars].flatMap(([barIndex, layers]) => {
    let sum = 0;
    return [...ROLE_NAMES].reverse().flatMap((role): LoudnessShare[] => {
      const value = layers.filter((l) => l.role === role).reduce((acc, l) => acc + l.loudnessShare, 0);
      return value < 0.002 ? [] : [{ barIndex, role, from: sum, to: Math.min(1, sum += value) }];
    });
  });
}

function meanShare(shares: readonly LoudnessShare[], role: Role, balance: Balance): number {
  const own = shares.filter((s) => s.role === role).reduce((sum, s) => sum + s.to - s.from, 0);
  return own / Math.max(1, new Set(balance.perLayer.map((l) => l.barIndex)).size);
}
