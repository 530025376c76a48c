import { greatestOf, leastOf } from "../../base/extremes.ts";
import { A_NUMBER, A_SCORE, A_TEXTURE, checkArgument } from "../../base/arguments.ts";
// @ts-types="@types/d3-array"
import { range } from "d3-array";
import * as Plot from "@observablehq/plot";
import type { Note, Score } from "../../score/model.ts";
import { barBeatOf, barIndexOf } from "../../score/time.ts";
import { toldApart } from "../../score/told_apart.ts";
import type { Texture } from "../../texture/model.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { axisOfScore } from "../drawing/bar_axis.ts";
import { type BarScale, barScale } from "../drawing/bar_scale.ts";
import { type BarPanel, barsFrame } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions, checkedSpan } from "../drawing/chart_options.ts";
import { roleFill } from "../drawing/frame.ts";
import type { BarSpan } from "../drawing/spans.ts";
import { joinedFills, namedMark } from "../drawing/named_mark.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, movedApart, wrapText } from "../drawing/text_width.ts";
import { ROLE_LOOKS } from "../drawing/theme.ts";
import { leftAxis } from "../drawing/value_axis.ts";
import { counted, spanInWords } from "../drawing/words.ts";
import { layersTitle } from "../titles/texture_titles.ts";
import { noteName } from "../drawing/note_name.ts";

/** Options of {@linkcode layersChart}. */
export interface LayersChartOptions extends ChartOptions {
  /** First bar shown, index from 0. Default 0. */
  readonly fromBarIndex?: number;
  /** Last bar shown, inclusive. By default the fourth from the first. */
  readonly toBarIndex?: number;
}

interface DrawnNote {
  readonly part: number;
  readonly unpitched: boolean;
  readonly from: number;
  readonly to: number;
  readonly pitch: number;
  readonly role: Role;
  readonly title: string;
}

const NAME = "layers";
const NAMES = 190;
/** Pixels from one line of a name to the next, and lines a name has at most. */
const LINE = 13;
const MOST_LINES = 4;
const PERCUSSION_ROW = 16;

/**
 * The notes of a few bars as strokes along time and pitch, coloured and textured by role, with the layers named at
 * the side at the height where they play. Where two layers meet on a note, the one behind is broader. Percussion
 * without pitch has rows of its own below.
 *
 * @param score the score
 * @param texture what its parts do
 * @param options bars shown, width, height, title
 * @returns the chart
 * @throws {InputError} when the bars are not in the score, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore, textureOf } from "ripieno";
 * import { chartSvg, layersChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = layersChart(demoScore(), textureOf(demoScore()), { fromBarIndex: 16, toBarIndex: 19 });
 * assertStringIncludes(chartSvg(chart), "Rapids");
 * ```
 */
export function layersChart(score: Score, texture: Texture, options: LayersChartOptions = {}): Chart {
  checkArgument("draw the layers chart", score, A_SCORE);
  checkArgument("draw the layers chart", texture, A_TEXTURE);
  const { width, height = 420, fromBarIndex = 0, title } = checkedOptions(
    "layers chart",
    options,
    {
      fromBarIndex: A_NUMBER,
      toBarIndex: A_NUMBER,
    },
  );
  const toBarIndex = options.toBarIndex ?? Math.min(score.bars.length - 1, fromBarIndex + 3);
  checkedSpan(score, { chart: "layers chart", fromBarIndex, toBarIndex });
  const innerWidth = width - NAMES;
  const named = toldApart(score);
  const scale = barScale(axisOfScore(score, { fromBarIndex, toBarIndex }), { width: innerWidth });
  const strokes = strokesOf(score, texture, { fromBarIndex, toBarIndex });
  const roles = ROLE_NAMES.filter((role) => strokes.some((s) => s.role === role));
  const bars = counted(toBarIndex + 1 - fromBarIndex, "bar");
  return barsFrame({
    name: NAME,
    scale,
    outerWidth: width,
    title: title ?? layersTitle(strokes, spanInWords(score, { fromBarIndex, toBarIndex })),
    label: `${counted(strokes.length, "note")} of ${bars} by pitch and role: ${roles.join(", ")}`,
    legend: [], // the names at the side say it
    panels: [
      pitchPanel(named, scale, { strokes: strokes.filter((s) => !s.unpitched), roles, height }),
      ...percussionPanel(named, scale, strokes.filter((s) => s.unpitched)),
    ],
  });
}

/** Strokes along time and pitch, and the layers named at the side. */
function pitchPanel(
  score: Score,
  scale: BarScale,
  { strokes, roles, height }: {
    readonly strokes: readonly DrawnNote[];
    readonly roles: readonly Role[];
    readonly height: number;
  },
): BarPanel {
  const pitches = strokes.map((s) => s.pitch);
  const low = leastOf(pitches, 60) - 2;
  const high = greatestOf(pitches, 72) + 2;
  const yOf = (pitch: number) => 1 + (high - pitch) / (high - low) * (height - 2);
  const octaves = range(0, 128, 12).filter((p) => p > low && p < high);
  const thick = Math.max(3, Math.min(9, (height - 2) / (high - low) * 0.86));
  const halfHeight = (s: DrawnNote) => {
    const depth = roles.length < 2 ? 0.5 : roles.indexOf(s.role) / (roles.length - 1);
    return thick * (0.75 + 0.5 * depth) / 2 / (height - 2) * (high - low);
  };
  return {
    heading: "sounding pitch",
    height,
    domain: [low, high],
    marks: [
      barLines(scale),
      Plot.ruleY(octaves, { strokeOpacity: 0.12, ...namedMark("octaves") }),
      leftAxis(octaves, noteName),
      noteBoxes("notes", strokes, {
        y1: (s) => s.pitch - halfHeight(s),
        y2: (s) => s.pitch + halfHeight(s),
        insetRight: Math.min(1.5, scale.pixelsPerBar / 60),
        stroke: (s) => ROLE_LOOKS[s.role].ink === "#ffffff" ? "none" : "currentColor",
      }),
    ],
    over: layerNames(layerLabels(score, strokes, height), { edge: scale.width - 10, yOf, height }),
  };
}

function barLines({ axis }: BarScale): Plot.Markish {
  const lines = axis.numbers.map((_, i) => axis.fromBarIndex + i);
  return Plot.ruleX(lines, { strokeOpacity: 0.2, ...namedMark("bar-lines") });
}

/** Notes as boxes with the texture of their role. */
function noteBoxes(
  name: string,
  strokes: readonly DrawnNote[],
  options: {
    readonly y1: (s: DrawnNote) => number;
    readonly y2: (s: DrawnNote) => number;
    readonly insetRight: number;
    readonly stroke: string | ((s: DrawnNote) => string);
  },
): Plot.Markish {
  return Plot.rect(strokes, {
    x1: "from",
    x2: "to",
    rx: 1.5,
    fill: (s: DrawnNote) => roleFill(NAME, s.role),
    strokeOpacity: 0.45,
    strokeWidth: 0.5,
    title: "title",
    ...options,
    ...joinedFills(name),
  });
}

/** The names of layers right of the bars, moved apart, with lines to where they play. */
function layerNames(
  labels: ReturnType<typeof layerLabels>,
  { edge, yOf, height }: {
    readonly edge: number;
    readonly yOf: (pitch: number) => number;
    readonly height: number;
  },
): readonly SVGElement[] {
  const boxes = labels.map((l) => ({ wanted: yOf(l.pitch) - 6, size: l.lines.length * LINE + 5 }));
  const tops = movedApart(boxes, { from: 0, to: height });
  return labels.map(({ lines, role, pitch, title }, i) => {
    const y = tops[i]!;
    const d = `M${edge} ${yOf(pitch)}L${edge + 14} ${y + 6}`;
    return h(
      "g",
      { class: "layer-name" },
      h("path", { d, fill: "none", stroke: "currentColor", "stroke-opacity": 0.4 }),
      h("rect", { x: edge + 16, y, width: 12, height: 12, rx: 2, fill: roleFill(NAME, role) }),
      ...lines.map((text, k) => {
        const weight = k === 0 ? 600 : undefined;
        return svgText({ text, x: edge + 33, y: y + 10 + k * LINE, size: 11, title, weight });
      }),
    );
  });
}

/** Rows for percussion without pitch, each named at the side; none where none plays. */
function percussionPanel(score: Score, scale: BarScale, strokes: readonly DrawnNote[]): readonly BarPanel[] {
  const parts = [...new Set(strokes.map((s) => s.part))].sort((a, b) => a - b);
  if (parts.length === 0) return [];
  const row = (s: DrawnNote) => parts.indexOf(s.part);
  const names = parts.map((part, i) => {
    const roles = ROLE_NAMES.filter((role) => strokes.some((s) => s.part === part && s.role === role));
    const title = `${score.parts[part]?.name ?? ""}: ${roles.join(", ")}`;
    const text = fitText(title, 11, NAMES - 10);
    return svgText({ text, x: scale.width - 4, y: (i + 0.5) * PERCUSSION_ROW + 4, size: 11, title });
  });
  return [{
    heading: "percussion without pitch",
    height: parts.length * PERCUSSION_ROW,
    domain: [parts.length, 0],
    marks: [
      barLines(scale),
      noteBoxes("percussion", strokes, {
        y1: (s) => row(s) + 0.2,
        y2: (s) => row(s) + 0.8,
        insetRight: 1,
        stroke: "currentColor",
      }),
    ],
    over: names,
  }];
}

/** Notes that sound in the bars, as strokes; background first, so that the lead lies on top. */
function strokesOf(
  score: Score,
  texture: Texture,
  { fromBarIndex, toBarIndex }: BarSpan,
): readonly DrawnNote[] {
  const parts = score.parts.length;
  const position = (ticks: number) => {
    const b = barIndexOf(score, ticks);
    const bar = score.bars[b];
    return bar === undefined ? 0 : b + Math.min(1, (ticks - bar.startTicks) / bar.durationTicks);
  };
  const isShown = (n: Note) => !n.cue && n.durationTicks > 0;
  return score.notes.filter(isShown).flatMap((n): DrawnNote[] => {
    const from = position(n.onsetTicks);
    const to = position(n.onsetTicks + n.durationTicks);
    if (to <= fromBarIndex || from >= toBarIndex + 1) return [];
    const bar = Math.max(fromBarIndex, Math.floor(from));
    const cell = texture.cells[bar * parts + n.part];
    const place = barBeatOf(score, n.onsetTicks);
    const name = score.parts[n.part]?.name ?? "";
    const height = n.unpitched ? "" : `${noteName(n.soundingPitch)}, `;
    return [{
      part: n.part,
      unpitched: n.unpitched,
      from: Math.max(fromBarIndex, from),
      to: Math.min(toBarIndex + 1, to),
      pitch: n.soundingPitch,
      role: cell?.role ?? "rest",
      title: `${name}, bar ${place.bar}, beat ${Number(place.beat.toFixed(2))}: ${height}${
        cell?.role ?? "rest"
      }`,
    }];
  }).sort((a, b) => ROLE_NAMES.indexOf(b.role) - ROLE_NAMES.indexOf(a.role));
}

/** One label per role: its name, then who plays it, at the height of its last notes. */
function layerLabels(score: Score, strokes: readonly DrawnNote[], height: number) {
  const roles = ROLE_NAMES.filter((role) => strokes.some((s) => s.role === role));
  // Where many layers share little height, each has fewer lines.
  const lines = Math.max(
    1,
    Math.min(MOST_LINES, Math.floor((height / Math.max(1, roles.length) - 5) / LINE)),
  );
  return roles.map((role) => {
    const own = strokes.filter((s) => s.role === role);
    const parts = [...new Set(own.map((s) => s.part))].sort((a, b) => a - b);
    const players = parts.map((p) => score.parts[p]?.name ?? "");
    const end = Math.max(...own.map((s) => s.to));
    const last = own.filter((s) => s.to >= end - 0.01);
    return {
      role,
      pitch: last.reduce((sum, s) => sum + s.pitch, 0) / last.length,
      lines: [role, ...shortened(players, lines - 1)],
      title: `${role}: ${players.join(", ")}`,
    };
  });
}

/** Names in as few lines as they need; where they need too many, the last says how many more there are. */
function shortened(players: readonly string[], mostLines: number): readonly string[] {
  for (let shown = players.length; shown > 0; shown--) {
    const more = shown < players.length ? ` and ${players.length - shown} more` : "";
    // A name is not broken in two.
    const names = players.slice(0, shown).map((name) => name.replaceAll(" ", "\u00a0"));
    const lines = wrapText(`${names.join(", ")}${more}`, 11, NAMES - 40);
    if (lines.length <= mostLines) return lines.map((line) => fitText(line, 11, NAMES - 34));
  }
  return [];
}
