import * as Plot from "@observablehq/plot";
import { A_CONTOUR, checkArgument } from "../../base/arguments.ts";
import type { Contour, ContourBar, ContourShape } from "../../measures/contour/contour_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfRows } from "../drawing/bar_axis.ts";
import { barBoxes, stepLine, stepsOf } from "../drawing/bar_marks.ts";
import { barScale } from "../drawing/bar_scale.ts";
import type { LegendEntry } from "../drawing/frame.ts";
import { type BarPanel, barsFrame } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedScore } from "../drawing/chart_options.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { type Chart, h } from "../drawing/svg.ts";
import { hue } from "../drawing/theme.ts";
import { valueAxis } from "../drawing/value_axis.ts";
import { counted } from "../drawing/words.ts";

const NAME = "contour";
const CURVE = hue("teal");
const WANTED = hue("wine");

/**
 * Contour: loudness, register and density along the bars, each with the shape it is held against, drawn to the same height:
 * the tune's own, or the one wished for. The title says what goes with it.
 *
 * @param contour the measure
 * @param score the score, for the names of passages
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { contour } from "ripieno/measures";
 * import { chartSvg, contourChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * assertStringIncludes(chartSvg(contourChart(contour(demoScore()), demoScore())), "Loudness");
 * ```
 */
export function contourChart(contour: Contour, score?: Score, options: ChartOptions = {}): Chart {
  checkArgument("draw the contour chart", contour, A_CONTOUR);
  const { width, height = 330, title = titleOf(contour) } = checkedOptions("contour chart", options);
  const { perBar, against } = contour;
  const scale = barScale(axisOfRows(perBar, checkedScore("contour chart", score)), { width });
  const panelHeight = Math.max(40, height / PANELS.length - 20);
  return barsFrame({
    name: NAME,
    scale,
    title,
    label: `Contour along ${counted(perBar.length, "bar")}: ${contour.description.join(" ")}`,
    legend: legendOf(against),
    panels: PANELS.map((panel) => drawn(panel, contour, panelHeight)),
  });
}

/** What goes with the tune or the wish, and what does not, in one line. */
function titleOf({ perCurve, against }: Contour): string {
  const other = against === "wish" ? "wish" : "tune";
  const said = perCurve.map(({ curve, follows }) => {
    if (follows === null) return `${curve} stays level`;
    if (Math.abs(follows) < 0.3) return `${curve} goes its own way`;
    return `${curve} goes ${follows > 0 ? "with" : "against"} the ${other}`;
  }).join(", ");
  return `${said[0]!.toUpperCase()}${said.slice(1)}`;
}

function legendOf(against: Contour["against"]): readonly LegendEntry[] {
  const curve = h("path", { d: "M0 11H8V5H22", fill: "none", stroke: CURVE, "stroke-width": 1.8 });
  const wanted = h("path", {
    d: "M0 8H22",
    fill: "none",
    stroke: WANTED,
    "stroke-width": 1.6,
    "stroke-dasharray": "4 3",
  });
  return [
    [curve, "as it sounds"],
    [wanted, against === "wish" ? "the shape wished for" : "pitch of the tune, to the same height"],
  ];
}

/** What a panel shows. */
interface ContourPanel {
  readonly curve: ContourShape["curve"];
  readonly heading: string;
  readonly valueOf: (bar: ContourBar) => number | null;
  readonly words: (bar: ContourBar) => string;
  /** Whether the scale begins at 0. */
  readonly fromZero?: boolean;
  /** Lowest and highest of a bar, drawn as a band. */
  readonly compass?: boolean;
}

const PANELS: readonly ContourPanel[] = [
  {
    curve: "loudness",
    heading: "loudness level in phons; 10 more sound twice as loud",
    valueOf: (b) => b.loudnessPhons,
    words: (b) => b.loudnessPhons === null ? "silent" : `${b.loudnessPhons.toFixed(0)} phons`,
  },
  {
    curve: "register",
    heading: "register: mean sounding pitch (60 is middle C), between lowest and highest",
    valueOf: (b) => b.register,
    words: (b) =>
      b.register === null ? "no pitch" : `mean pitch ${b.register.toFixed(0)}, ${b.lowest} to ${b.highest}`,
    compass: true,
  },
  {
    curve: "density",
    heading: "density: notes that begin per second",
    valueOf: (b) => b.notesPerSecond,
    words: (b) => `${b.notesPerSecond.toFixed(1)} notes per second`,
    fromZero: true,
  },
];

function drawn(panel: ContourPanel, { perBar, perCurve }: Contour, height: number): BarPanel {
  const { curve, heading, valueOf, words, fromZero = false, compass = false } = panel;
  const own = perBar.flatMap((b) => valueOf(b) ?? []);
  const ends = compass ? perBar.flatMap((b) => b.lowest === null ? [] : [b.lowest, b.highest!]) : own;
  const isEmpty = ends.length === 0;
  const bottom = fromZero || isEmpty ? 0 : Math.floor(Math.min(...ends) - 1);
  const top = isEmpty ? 1 : Math.ceil(Math.max(...ends) * (fromZero ? 1.06 : 1) + 1);
  const { follows } = perCurve.find((c) => c.curve === curve)!;
  const steps = stepsOf(perBar, valueOf);
  return {
    heading: `${heading}${follows === null ? "" : `; rank correlation ${follows.toFixed(2)}`}`,
    height,
    domain: [bottom, top],
    marks: [
      ...valueAxis({ bottom, top, height }),
      ...compass
        ? [barBoxes("compass", perBar.filter((b) => b.lowest !== null), {
          y1: (b: ContourBar) => b.lowest! - 0.5,
          y2: (b: ContourBar) => b.highest! + 0.5,
          fill: CURVE,
          fillOpacity: 0.14,
        })]
        : [Plot.areaY(steps, {
          x: "x",
          y1: bottom,
          y2: "y",
          fill: CURVE,
          fillOpacity: 0.14,
          ...namedMark("area"),
        })],
      stepLine("wanted", stepsOf(perBar, wantedOver(perBar, own)), {
        stroke: WANTED,
        strokeWidth: 1.6,
        strokeDasharray: "4 3",
      }),
      stepLine("curve", steps, { stroke: CURVE, strokeWidth: 1.8 }),
      barBoxes("bars", perBar, {
        y1: bottom,
        y2: top,
        fill: "transparent",
        title: (b) => `bar ${b.bar}: ${words(b)}`,
      }),
    ],
  };
}

/** The curve something is held against, stretched to the height of another. */
function wantedOver(
  perBar: readonly ContourBar[],
  own: readonly number[],
): (bar: ContourBar) => number | null {
  const wanted = perBar.flatMap((b) => b.wanted ?? []);
  const [low, high] = [Math.min(...wanted), Math.max(...wanted)];
  const [from, to] = [Math.min(...own), Math.max(...own)];
  return ({ wanted }) => {
    if (wanted === null || own.length === 0) return null;
    return high === low ? (from + to) / 2 : from + (to - from) * (wanted - low) / (high - low);
  };
}
