import * as Plot from "@observablehq/plot";
import { A_FULLNESS, checkArgument } from "../../base/arguments.ts";
import type { Fullness, FullnessBar } from "../../measures/fullness/fullness_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows } from "../drawing/bar_axis.ts";
import { stepsOf } from "../drawing/bar_marks.ts";
import { type BarScale, barScale } from "../drawing/bar_scale.ts";
import type { LegendEntry } from "../drawing/frame.ts";
import { type BarPanel, barsFrame } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { type Chart, h } from "../drawing/svg.ts";
import { hue } from "../drawing/theme.ts";
import { valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";
import { shareCurvePanel, shareCurveSign } from "../panels/share_curve_panel.ts";
import { fullnessTitle } from "../titles/craft_titles.ts";

const NAME = "fullness";
const CURVE = hue("navy");
const WANTING = hue("wine");
const GAP = hue("amber");
const PLAYERS = hue("teal");
/** Height of the panels below the curve. */
const LOW_PANEL = 56;

/**
 * How full the chord is that stands beside the lead: the curve, with a mark where a tone is wanting; below it the widest gap
 * between neighbouring pitches, and how many play.
 *
 * @param fullness the measure
 * @param score the score, for the names of passages
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { fullness } from "ripieno/measures";
 * import { chartSvg, fullnessChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * assertStringIncludes(chartSvg(fullnessChart(fullness(demoScore()), demoScore())), "fullness");
 * ```
 */
export function fullnessChart(fullness: Fullness, score?: Score, options: ChartOptions = {}): Chart {
  checkArgument("draw the fullness chart", fullness, A_FULLNESS);
  const { width, height = 270, title } = checkedOptions("fullness chart", options);
  const { perBar, whole } = fullness;
  const axis = axisOfRows(perBar, checkedScore("fullness chart", score));
  const scale = barScale(axis, { width });
  const wanting = perBar.filter((b) => b.missing !== "");
  return barsFrame({
    name: NAME,
    scale,
    title: title ?? fullnessTitle(fullness, axis),
    label:
      `Fullness along ${counted(perBar.length, "bar")}, ${
        whole.fullness.toFixed(2)
      } on average, with tones ` +
      `wanting in ${wanting.length}`,
    legend: legendOf(wanting.length > 0),
    panels: [
      shareCurvePanel(perBar, {
        heading: "fullness: 1 for a complete, well spaced chord beside the lead, 0 for none",
        height: Math.max(60, height - 2 * (LOW_PANEL + 20)),
        colour: CURVE,
        valueOf: (b) => b.fullness,
        wordsOf,
        marks: [wantingMark(perBar)],
      }),
      gapPanel(fullness, scale),
      playersPanel(perBar),
    ],
  });
}

function legendOf(isWanting: boolean): readonly LegendEntry[] {
  const cross = h("path", { d: "M7 4L15 12M15 4L7 12", fill: "none", stroke: WANTING, "stroke-width": 1.8 });
  return [
    [shareCurveSign(CURVE), "fullness"],
    ...isWanting ? [[cross, "a tone of the chord is wanting"] as const] : [],
  ];
}

const wordsOf = (b: FullnessBar) =>
  `bar ${b.bar}: ${
    b.completeness === null ? "nothing beside the lead" : `fullness ${b.fullness.toFixed(2)}`
  }` +
  (b.missing === "" ? "" : `, wants ${b.missing}`) +
  (b.widestGap === null ? "" : `, widest gap ${b.widestGap} semitones`) +
  `, ${b.players.toFixed(0)} playing`;

/** A mark where a tone is wanting. */
function wantingMark(perBar: readonly FullnessBar[]): Plot.Markish {
  return Plot.dot(perBar.filter((b) => b.missing !== ""), {
    x: (b: FullnessBar) => b.barIndex + 0.5,
    y: 0.1,
    r: 4,
    symbol: "times",
    stroke: WANTING,
    strokeWidth: 1.8,
    ...namedMark("wanting"),
  });
}

/** The widest gap, against what a pad may have. */
function gapPanel({ perBar, settings }: Fullness, { pixelsPerBar }: BarScale): BarPanel {
  const limit = settings["apartSemitones"] ?? 0;
  const widest = Math.max(limit + 4, ...perBar.map((b) => b.widestGap ?? 0));
  return {
    heading:
      "widest gap between neighbouring pitches, in semitones; the line is what a pad may have above its bass",
    height: LOW_PANEL,
    domain: [0, widest],
    marks: [
      ...valueAxis({ bottom: 0, top: widest, height: LOW_PANEL }),
      Plot.ruleX(perBar.filter((b) => b.widestGap !== null), {
        x: (b: FullnessBar) => b.barIndex + 0.5,
        y1: 0,
        y2: "widestGap",
        stroke: GAP,
        strokeWidth: Math.max(1, Math.min(6, pixelsPerBar * 0.5)),
        ...namedMark("gaps"),
      }),
      Plot.ruleY([limit], { stroke: WANTING, strokeDasharray: "4 3", ...namedMark("limit") }),
    ],
  };
}

function playersPanel(perBar: readonly FullnessBar[]): BarPanel {
  const most = Math.max(1, ...perBar.map((b) => b.players));
  const steps = stepsOf(perBar, (b) => b.players);
  return {
    heading: "how many players play",
    height: LOW_PANEL,
    domain: [0, most],
    marks: [
      ...valueAxis({ bottom: 0, top: most, height: LOW_PANEL }),
      Plot.areaY(steps, {
        x: "x",
        y1: 0,
        y2: "y",
        fill: PLAYERS,
        fillOpacity: 0.25,
        ...namedMark("players"),
      }),
    ],
  };
}
