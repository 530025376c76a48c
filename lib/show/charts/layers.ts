import * as Plot from "@observablehq/plot";
import { InputError } from "../../errors.ts";
import type { Note, Score } from "../../score/model.ts";
import { barBeatOf, barIndexOf } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { pitchName } from "../../units.ts";
import { axisOfScore } from "../bar_axis.ts";
import { barsFrame, barsWidth } from "../bars_frame.ts";
import { type ChartOptions, checkedOptions } from "../chart_options.ts";
import { chartDocument } from "../document.ts";
import { roleFill } from "../frame.ts";
import { joinedFills } from "../joined_fills.ts";
import { namedMark } from "../named_mark.ts";
import { type Chart, svgElement, svgText } from "../svg.ts";
import { fitText } from "../text_width.ts";
import { ROLE_LOOKS } from "../theme.ts";
import { counted } from "../words.ts";

/** Options of {@linkcode layersChart}. */
export interface LayersChartOptions extends ChartOptions {
  /** First bar shown, index from 0. Default 0. */
  readonly fromBar?: number;
  /** Last bar shown, inclusive. By default the fourth from the first. */
  readonly toBar?: number;
}

/** A note as a stroke. */
interface Stroke {
  readonly from: number;
  readonly to: number;
  readonly pitch: number;
  readonly role: Role;
  readonly layer: string;
  readonly title: string;
}

const NAME = "layers";
const MARGIN_LEFT = 52;
const NAMES = 190;

/**
 * The notes of a few bars as strokes along time and pitch, coloured and textured by role, with the layers named at
 * the side at the height where they play. Unpitched percussion is left out.
 *
 * @param score the score
 * @param texture what its parts do
 * @param options bars shown, width, height, title
 * @returns the chart
 * @throws {InputError} when the bars are not in the score, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { chartSvg, demoScore, layersChart, textureOf } from "ripieno";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = layersChart(demoScore(), textureOf(demoScore()), { fromBar: 16, toBar: 19 });
 * assertStringIncludes(chartSvg(chart), "Rapids");
 * ```
 */
export function layersChart(score: Score, texture: Texture, options: LayersChartOptions = {}): Chart {
  const { width, height = 420, fromBar = 0, title = "Layers" } = checkedOptions("layers chart", options, [
    "fromBar",
    "toBar",
  ]);
  const toBar = options.toBar ?? Math.min(score.bars.length - 1, fromBar + 3);
  checkBars(score, fromBar, toBar);
  const document = chartDocument();
  const axis = axisOfScore(score, { fromBar, toBar });
  const strokes = strokesOf(score, texture, { fromBar, toBar });
  const pitches = strokes.map((s) => s.pitch);
  const low = Math.min(60, ...pitches) - 2;
  const high = Math.max(72, ...pitches) + 2;
  const innerWidth = width - NAMES;
  const pixelsPerBar = barsWidth({ width: innerWidth, marginLeft: MARGIN_LEFT }) / (toBar + 1 - fromBar);
  const yOf = (pitch: number) => 1 + (high - pitch) / (high - low) * (height - 2);
  const octaves = Array.from({ length: 11 }, (_, i) => i * 12).filter((p) => p > low && p < high);
  const roles = ROLE_NAMES.filter((role) => strokes.some((s) => s.role === role));
  const stroke = Math.max(3, Math.min(9, (height - 2) / (high - low) * 0.86));
  const labels = layerLabels(score, texture, strokes).map(({ text, role, pitch, title }, i, all) => {
    const y = labelHeights(all.map((l) => yOf(l.pitch)), height)[i] ?? yOf(pitch);
    const edge = innerWidth - 10;
    return svgElement(document, {
      tag: "g",
      attributes: { class: "layer-name" },
      children: [
        svgElement(document, {
          tag: "path",
          attributes: {
            d: `M${edge} ${yOf(pitch)}L${edge + 14} ${y}`,
            fill: "none",
            stroke: "currentColor",
            "stroke-opacity": 0.4,
          },
        }),
        svgElement(document, {
          tag: "rect",
          attributes: { x: edge + 16, y: y - 6, width: 12, height: 12, rx: 2, fill: roleFill(NAME, role) },
        }),
        svgText(document, { text, x: edge + 33, y: y + 4, size: 11, title }),
      ],
    });
  });
  return barsFrame(document, {
    name: NAME,
    width: innerWidth,
    outerWidth: width,
    title,
    label: `${counted(strokes.length, "note")} of ${counted(toBar + 1 - fromBar, "bar")} by pitch and role: ${
      roles.join(", ")
    }`,
    legend: [], // the names at the side say it
    axis,
    marginLeft: MARGIN_LEFT,
    panels: [{
      heading: "sounding pitch",
      height,
      domain: [low, high],
      marks: [
        Plot.ruleX(axis.numbers.map((_, i) => fromBar + i), {
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
          x1: (s: Stroke) => s.from,
          x2: (s: Stroke) => s.to,
          y1: (s: Stroke) => s.pitch - stroke / 2 / (height - 2) * (high - low),
          y2: (s: Stroke) => s.pitch + stroke / 2 / (height - 2) * (high - low),
          insetRight: Math.min(1.5, pixelsPerBar / 60),
          rx: 1.5,
          fill: (s: Stroke) => roleFill(NAME, s.role),
          stroke: (s: Stroke) => ROLE_LOOKS[s.role].ink === "#ffffff" ? "none" : "currentColor",
          strokeOpacity: 0.45,
          strokeWidth: 0.5,
          title: (s: Stroke) => s.title,
          ...joinedFills("notes"),
        }),
      ],
      over: labels,
    }],
  });
}

function checkBars(score: Score, fromBar: number, toBar: number): void {
  const isBar = (b: number) => Number.isInteger(b) && b >= 0 && b < score.bars.length;
  if (isBar(fromBar) && isBar(toBar) && fromBar <= toBar) return;
  throw new InputError({
    action: "draw the layers chart",
    problem: `fromBar ${fromBar} to toBar ${toBar} is no span of bars of this score`,
    remedy: `Give indexes from 0 to ${score.bars.length - 1}, the first not after the last`,
  });
}

/** Notes that sound in the bars, as strokes; background first, so that the lead lies on top. */
function strokesOf(
  score: Score,
  texture: Texture,
  { fromBar, toBar }: { readonly fromBar: number; readonly toBar: number },
): readonly Stroke[] {
  const parts = score.parts.length;
  const position = (ticks: number) => {
    const b = barIndexOf(score, ticks);
    const bar = score.bars[b];
    return bar === undefined ? 0 : b + Math.min(1, (ticks - bar.startTicks) / bar.durationTicks);
  };
  const isShown = (n: Note) => !n.unpitched && !n.cue && n.durationTicks > 0;
  return score.notes.filter(isShown).flatMap((n): Stroke[] => {
    const from = position(n.onsetTicks);
    const to = position(n.onsetTicks + n.durationTicks);
    if (to <= fromBar || from >= toBar + 1) return [];
    const bar = Math.max(fromBar, Math.floor(from));
    const cell = texture.cells[bar * parts + n.part];
    const place = barBeatOf(score, n.onsetTicks);
    const name = score.parts[n.part]?.name ?? "";
    return [{
      from: Math.max(fromBar, from),
      to: Math.min(toBar + 1, to),
      pitch: n.soundingPitch,
      role: cell?.role ?? "rest",
      layer: cell?.layer ?? "",
      title: `${name}, bar ${place.bar}, beat ${Number(place.beat.toFixed(2))}: ${
        pitchName(n.soundingPitch)
      }, ${cell?.role ?? "rest"}`,
    }];
  }).sort((a, b) => ROLE_NAMES.indexOf(b.role) - ROLE_NAMES.indexOf(a.role));
}

/** One label per role: who plays it, at the height of its last notes. */
function layerLabels(score: Score, texture: Texture, strokes: readonly Stroke[]) {
  const names = new Map(texture.layers.map((l) => [l.id, l.parts.map((p) => score.parts[p]?.name ?? "")]));
  return ROLE_NAMES.flatMap((role) => {
    const own = strokes.filter((s) => s.role === role);
    if (own.length === 0) return [];
    const players = [...new Set(own.flatMap((s) => names.get(s.layer) ?? []))];
    const end = Math.max(...own.map((s) => s.to));
    const last = own.filter((s) => s.to >= end - 0.01);
    const full = `${role}: ${players.join(", ")}`;
    return [{
      role,
      pitch: last.reduce((sum, s) => sum + s.pitch, 0) / last.length,
      text: fitText(full, 11, NAMES - 30) || role,
      title: full,
    }];
  });
}

/** Moves labels apart, so that they stand at least a line from each other, in the order of their heights. */
function labelHeights(wanted: readonly number[], height: number): readonly number[] {
  const line = Math.min(16, height / Math.max(1, wanted.length));
  const order = wanted.map((_, i) => i).sort((a, b) => wanted[a]! - wanted[b]!);
  const result = [...wanted];
  let last = -Infinity;
  for (const i of order) last = result[i] = Math.max(result[i]!, last + line, 8);
  let limit = height - 6;
  for (const i of order.reverse()) {
    result[i] = Math.min(result[i]!, limit);
    limit = result[i]! - line;
  }
  return result;
}
