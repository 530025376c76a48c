import { greatestOf, leastOf } from "../../base/extremes.ts";
import { A_NUMBER, A_SCORE, A_TEXTURE, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import type { Note, Score } from "../../score/model.ts";
import { barBeatOf, barIndexOf } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { pitchName } from "../../base/units.ts";
import { axisOfScore } from "../drawing/bar_axis.ts";
import { type BarPanel, barsFrame, barsWidth } from "../drawing/bars_frame.ts";
import { type AskedBars, checkedSpan } from "../drawing/checked_span.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { roleFill } from "../drawing/frame.ts";
import { joinedFills } from "../drawing/joined_fills.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, wrapText } from "../drawing/text_width.ts";
import { ROLE_LOOKS } from "../drawing/theme.ts";
import { counted } from "../drawing/words.ts";

/** Options of {@linkcode layersChart}. */
export interface LayersChartOptions extends ChartOptions {
  /** First bar shown, index from 0. Default 0. */
  readonly fromBarIndex?: number;
  /** Last bar shown, inclusive. By default the fourth from the first. */
  readonly toBarIndex?: number;
}

/** A note as a stroke. */
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
const MARGIN_LEFT = 52;
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
  const { width, height = 420, fromBarIndex = 0, title = "Layers" } = checkedOptions(
    "layers chart",
    options,
    {
      fromBarIndex: A_NUMBER,
      toBarIndex: A_NUMBER,
    },
  );
  const toBarIndex = options.toBarIndex ?? Math.min(score.bars.length - 1, fromBarIndex + 3);
  checkedSpan(score, { chart: "layers chart", fromBarIndex, toBarIndex });
  const axis = axisOfScore(score, { fromBarIndex, toBarIndex });
  const all = strokesOf(score, texture, { fromBarIndex, toBarIndex });
  const strokes = all.filter((s) => !s.unpitched);
  const pitches = strokes.map((s) => s.pitch);
  const low = leastOf(pitches, 60) - 2;
  const high = greatestOf(pitches, 72) + 2;
  const innerWidth = width - NAMES;
  const pixelsPerBar = barsWidth({ width: innerWidth, marginLeft: MARGIN_LEFT }) /
    (toBarIndex + 1 - fromBarIndex);
  const yOf = (pitch: number) => 1 + (high - pitch) / (high - low) * (height - 2);
  const octaves = Array.from({ length: 11 }, (_, i) => i * 12).filter((p) => p > low && p < high);
  const roles = ROLE_NAMES.filter((role) => all.some((s) => s.role === role));
  const stroke = Math.max(3, Math.min(9, (height - 2) / (high - low) * 0.86));
  const halfHeight = (s: DrawnNote) => {
    const depth = roles.length < 2 ? 0.5 : roles.indexOf(s.role) / (roles.length - 1);
    return stroke * (0.75 + 0.5 * depth) / 2 / (height - 2) * (high - low);
  };
  const names = layerLabels(score, strokes, height);
  const tops = labelTops(names.map((l) => ({ wanted: yOf(l.pitch), lines: l.lines.length })), height);
  const edge = innerWidth - 10;
  const labels = names.map(({ lines, role, pitch, title }, i) => {
    const y = tops[i]!;
    return h(
      "g",
      { class: "layer-name" },
      h("path", {
        d: `M${edge} ${yOf(pitch)}L${edge + 14} ${y + 6}`,
        fill: "none",
        stroke: "currentColor",
        "stroke-opacity": 0.4,
      }),
      h("rect", { x: edge + 16, y, width: 12, height: 12, rx: 2, fill: roleFill(NAME, role) }),
      ...lines.map((text, k) =>
        svgText({
          text,
          x: edge + 33,
          y: y + 10 + k * LINE,
          size: 11,
          title,
          ...(k === 0 ? { weight: 600 } : {}),
        })
      ),
    );
  });
  return barsFrame({
    name: NAME,
    width: innerWidth,
    outerWidth: width,
    title,
    label: `${counted(all.length, "note")} of ${
      counted(toBarIndex + 1 - fromBarIndex, "bar")
    } by pitch and role: ${roles.join(", ")}`,
    legend: [], // the names at the side say it
    axis,
    marginLeft: MARGIN_LEFT,
    panels: [
      {
        heading: "sounding pitch",
        height,
        domain: [low, high],
        marks: [
          Plot.ruleX(axis.numbers.map((_, i) => fromBarIndex + i), {
            strokeOpacity: 0.2,
            ...namedMark("bar-lines"),
          }),
          Plot.ruleY(octaves, { strokeOpacity: 0.12, ...namedMark("octaves") }),
          Plot.axisY(octaves, {
            label: null,
            tickSize: 0,
            tickPadding: 6,
            fontSize: 11,
            tickFormat: (p: number) => pitchName(p),
          }),
          Plot.rect(strokes, {
            x1: (s: DrawnNote) => s.from,
            x2: (s: DrawnNote) => s.to,
            y1: (s: DrawnNote) => s.pitch - halfHeight(s),
            y2: (s: DrawnNote) => s.pitch + halfHeight(s),
            insetRight: Math.min(1.5, pixelsPerBar / 60),
            rx: 1.5,
            fill: (s: DrawnNote) => roleFill(NAME, s.role),
            stroke: (s: DrawnNote) => ROLE_LOOKS[s.role].ink === "#ffffff" ? "none" : "currentColor",
            strokeOpacity: 0.45,
            strokeWidth: 0.5,
            title: (s: DrawnNote) => s.title,
            ...joinedFills("notes"),
          }),
        ],
        over: labels,
      },
      ...percussionPanel(score, {
        strokes: all.filter((s) => s.unpitched),
        innerWidth,
        fromBarIndex,
        toBarIndex,
      }),
    ],
  });
}

/** Rows for percussion without pitch, each named at the side; none where none plays. */
function percussionPanel(score: Score, { strokes, innerWidth, fromBarIndex, toBarIndex }: AskedBars & {
  readonly strokes: readonly DrawnNote[];
  readonly innerWidth: number;
}): readonly BarPanel[] {
  const parts = [...new Set(strokes.map((s) => s.part))].sort((a, b) => a - b);
  if (parts.length === 0) return [];
  const row = (s: DrawnNote) => parts.indexOf(s.part);
  return [{
    heading: "percussion without pitch",
    height: parts.length * PERCUSSION_ROW,
    domain: [parts.length, 0],
    marks: [
      Plot.ruleX(Array.from({ length: toBarIndex + 1 - fromBarIndex }, (_, i) => fromBarIndex + i), {
        strokeOpacity: 0.2,
        ...namedMark("bar-lines"),
      }),
      Plot.rect(strokes, {
        x1: (s: DrawnNote) => s.from,
        x2: (s: DrawnNote) => s.to,
        y1: (s: DrawnNote) => row(s) + 0.2,
        y2: (s: DrawnNote) => row(s) + 0.8,
        insetRight: 1,
        rx: 1.5,
        fill: (s: DrawnNote) => roleFill(NAME, s.role),
        stroke: "currentColor",
        strokeOpacity: 0.45,
        strokeWidth: 0.5,
        title: (s: DrawnNote) => s.title,
        ...joinedFills("percussion"),
      }),
    ],
    over: parts.map((part, i) => {
      const name = score.parts[part]?.name ?? "";
      const roles = ROLE_NAMES.filter((role) => strokes.some((s) => s.part === part && s.role === role));
      const text = `${name}: ${roles.join(", ")}`;
      return svgText({
        text: fitText(text, 11, NAMES - 10),
        x: innerWidth - 4,
        y: (i + 0.5) * PERCUSSION_ROW + 4,
        size: 11,
        title: text,
      });
    }),
  }];
}

/** Notes that sound in the bars, as strokes; background first, so that the lead lies on top. */
function strokesOf(
  score: Score,
  texture: Texture,
  { fromBarIndex, toBarIndex }: AskedBars,
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
    const height = n.unpitched ? "" : `${pitchName(n.soundingPitch)}, `;
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

/** Moves labels of several lines apart, so that none touches the next, in the order of their heights. */
function labelTops(
  labels: readonly { readonly wanted: number; readonly lines: number }[],
  height: number,
): readonly number[] {
  const needed = labels.map((l) => l.lines * LINE + 5);
  const squeeze = Math.min(1, height / Math.max(1, needed.reduce((a, b) => a + b, 0)));
  const order = labels.map((_, i) => i).sort((a, b) => labels[a]!.wanted - labels[b]!.wanted);
  const tops = labels.map((l) => l.wanted - 6);
  let free = 0;
  for (const i of order) {
    tops[i] = Math.max(tops[i]!, free);
    free = tops[i]! + needed[i]! * squeeze;
  }
  let limit = height;
  for (const i of order.toReversed()) {
    tops[i] = Math.min(tops[i]!, limit - needed[i]! * squeeze);
    limit = tops[i]!;
  }
  return tops;
}
