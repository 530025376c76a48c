import { A_BALANCE, A_TEXTURE, checkArgument } from "../../base/arguments.ts";
import { BALANCE_CAUTION } from "../drawing/balance_caution.ts";
import type { Balance } from "../../measures/balance/balance_results.ts";
import type { Score } from "../../score/model.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { axisOfRows, numberOf } from "../drawing/bar_axis.ts";
import { barBoxes, type RoleBox, stackedBoxes, stepLine, stepsOf } from "../drawing/bar_marks.ts";
import { type BarScale, barScale } from "../drawing/bar_scale.ts";
import { type BarPanel, barsFrame } from "../drawing/bars_frame.ts";
import { checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { roleNames, type RolesChartOptions } from "../panels/role_names.ts";
import type { Chart } from "../drawing/svg.ts";
import { niceTop, valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";
import { loudnessTitle } from "../titles/sound_titles.ts";

const NAME = "loudness-share";

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
export function loudnessShareChart(
  balance: Balance,
  score?: Score,
  options: RolesChartOptions = {},
): Chart {
  checkArgument("draw the loudness share chart", balance, A_BALANCE);
  const { width, height = 260, title } = checkedOptions(
    "loudness share chart",
    options,
    { texture: A_TEXTURE },
  );
  const axis = axisOfRows(balance.perBar, checkedScore("loudness share chart", score));
  const scale = barScale(axis, { width });
  const shares = loudnessShares(balance);
  const shown = ROLE_NAMES.filter((role) => shares.some((s) => s.role === role));
  const nameOf = roleNames(options.texture, score);
  const means = shown.map((role) => ({ role, share: meanShare(shares, role, balance) }));
  return barsFrame({
    name: NAME,
    scale,
    title: title ?? loudnessTitle(means, balance, axis),
    note: title === "" ? "" : BALANCE_CAUTION,
    label: `Shares of the loudness along ${counted(balance.perBar.length, "bar")}, by role: ${
      means.map(({ role, share }) => `${role} ${Math.round(100 * share)} per cent`).join(", ")
    }`,
    legend: shown.map((role) => [role, nameOf(role)] as const),
    panels: [
      loudnessPanel(balance, scale, height * 0.3),
      {
        heading: "share of the loudness, as heard beside the others",
        height: height * 0.7,
        domain: [0, 1],
        marks: [
          ...valueAxis({ bottom: 0, top: 1, height: height * 0.7 }),
          stackedBoxes("loudness-shares", shares, {
            scale,
            chart: NAME,
            title: (s) =>
              `bar ${numberOf(axis, s.barIndex)}: ${s.role} has ${
                Math.round(100 * (s.to - s.from))
              } % of the loudness`,
          }),
        ],
      },
    ],
  });
}

function loudnessPanel({ perBar }: Balance, { pixelsPerBar }: BarScale, height: number): BarPanel {
  const top = niceTop(Math.max(1, ...perBar.map((b) => b.loudnessSones)));
  return {
    heading: "loudness of everything together, sones",
    height,
    domain: [0, top],
    marks: [
      ...valueAxis({ bottom: 0, top, height }),
      barBoxes("loudness", perBar, {
        y2: (b) => b.loudnessSones,
        fill: "currentColor",
        fillOpacity: 0.14,
        title: (b) => `bar ${b.bar}: ${b.loudnessSones.toFixed(0)} sones`,
      }),
      stepLine("loudness-line", stepsOf(perBar, (b) => b.loudnessSones), {
        stroke: "currentColor",
        strokeWidth: pixelsPerBar > 3 ? 1.3 : 0.7,
      }),
    ],
  };
}

/** Stacks the roles' shares of each bar, from the background up to the lead. */
function loudnessShares(balance: Balance): readonly RoleBox[] {
  const bars = Map.groupBy(balance.perLayer, (l) => l.barIndex);
  return [...bars].flatMap(([barIndex, layers]) => {
    let sum = 0;
    return ROLE_NAMES.toReversed().flatMap((role): RoleBox[] => {
      const value = layers.filter((l) => l.role === role).reduce((acc, l) => acc + l.loudnessShare, 0);
      return value < 0.002 ? [] : [{ barIndex, role, from: sum, to: Math.min(1, sum += value) }];
    });
  });
}

function meanShare(shares: readonly RoleBox[], role: Role, balance: Balance): number {
  const own = shares.filter((s) => s.role === role).reduce((sum, s) => sum + s.to - s.from, 0);
  return own / Math.max(1, new Set(balance.perLayer.map((l) => l.barIndex)).size);
}
