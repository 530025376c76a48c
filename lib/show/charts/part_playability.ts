import { greatestOf, leastOf } from "../../base/extremes.ts";
import { A_NUMBER, A_PLAYABILITY, A_SCORE, checkArgument, type Kind } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import { InputError } from "../../base/errors.ts";
import { type Instrument, instrumentById } from "../../instruments/catalogue.ts";
import { registersOf } from "../../instruments/registers.ts";
import type { Playability, PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import type { Note, Part, Score } from "../../score/model.ts";
import { axisOfScore, type BarAxis, barsInWords } from "../drawing/bar_axis.ts";
import { type BarPanel, barsFrame, barsWidth } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { findingsPanels } from "../panels/findings_panel.ts";
import { type LegendEntry, severityShape } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { noteName } from "../drawing/note_name.ts";
import {
  barsAt,
  type BreathRow,
  breathRows,
  needsBreath,
  notesOfPart,
  RATE_STEPS,
  type RateRow,
  rateRows,
} from "../panels/part_rows.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth } from "../drawing/text_width.ts";
import { PAPER, SEVERITIES, SEVERITY_LOOKS } from "../drawing/theme.ts";
import { niceTop, valueAxis } from "../drawing/value_axis.ts";
import { counted, figure } from "../drawing/words.ts";

/** Options of {@linkcode partPlayabilityChart}. */
export interface PartPlayabilityChartOptions extends ChartOptions {
  /** The part: its index in `score.parts`, or its name. By default the part of the most serious finding. */
  readonly part?: number | string;
}

/** The fastest notes of the part. */
type Rates = ReturnType<typeof rateRows>;

/** A note as a stroke. */
interface NoteStroke {
  readonly from: number;
  readonly to: number;
  readonly pitch: number;
  readonly isOutside: boolean;
  readonly title: string;
}

/** The pitches of a bar. */
interface PitchBand {
  readonly barIndex: number;
  readonly low: number;
  readonly high: number;
}

/** What all panels are drawn from. */
interface PanelStage {
  readonly score: Score;
  readonly part: Part;
  readonly instrument: Instrument;
  readonly notes: readonly Note[];
  readonly findings: readonly PlayabilityFinding[];
  readonly axis: BarAxis;
  readonly innerWidth: number;
  readonly xOf: (bar: number) => number;
  readonly pixelsPerBar: number;
  readonly settings: Playability["settings"];
}

const NAME = "part-playability";
const MARGIN_LEFT = 52;
/** Where a bar is narrower, in pixels, its notes are too thin to be followed and its span of pitch is drawn as well. */
const NARROW_BAR = 12;
const NAMES = 118;
const EASY = "#a9d3cc";
const LIMIT = "#2f6a66";
const PLAYED = "#262b57";
const OVER = SEVERITY_LOOKS.impossible.colour;

const A_PART: Kind = {
  noun: "a part",
  give: "Give its index from 0, or its name",
  fits: (value) => typeof value === "string" || A_NUMBER.fits(value),
};

/**
 * One part along the bars, against what its instrument and its player can do: its notes in the range and registers, the
 * fastest strokes of each bar against the rate that can be kept up, the time without a place to breathe against one
 * breath, and below the findings with their reasons and ways out.
 *
 * @param playability the measure
 * @param score the score
 * @param options the part, width, height of the upper panels, title
 * @returns the chart
 * @throws {InputError} when the score has no such part, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore, playability } from "ripieno";
 * import { chartSvg, partPlayabilityChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = partPlayabilityChart(playability(demoScore()), demoScore(), { part: "Flute 1" });
 * assertStringIncludes(chartSvg(chart), "one breath");
 * ```
 */
export function partPlayabilityChart(
  playability: Playability,
  score: Score,
  options: PartPlayabilityChartOptions = {},
): Chart {
  checkArgument("draw the part playability chart", playability, A_PLAYABILITY);
  checkArgument("draw the part playability chart", score, A_SCORE);
  const { width, height = 330, part: asked, ...others } = checkedOptions("part playability chart", options, {
    part: A_PART,
  });
  const index = partIndexOf(score, asked ?? playability.findings[0]?.part ?? 0);
  const part = score.parts[index]!;
  const axis = axisOfScore(score);
  const innerWidth = width - NAMES;
  const pixelsPerBar = barsWidth({ width: innerWidth, marginLeft: MARGIN_LEFT }) /
    Math.max(1, score.bars.length);
  const stage: PanelStage = {
    score,
    part,
    instrument: instrumentById(part.instrument),
    notes: notesOfPart(score, index),
    findings: playability.findings.filter((f) => f.part === index),
    axis,
    innerWidth,
    xOf: (bar) => MARGIN_LEFT + (bar - axis.fromBarIndex) * pixelsPerBar,
    pixelsPerBar,
    settings: playability.settings,
  };
  const breath = breathsOf(stage);
  const rates = rateRows(score, stage.notes, {
    instrument: stage.instrument,
    settings: stage.settings,
  });
  const panels = [
    ...(stage.instrument.unpitched ? [] : [pitchPanel(stage, height * 0.45)]),
    ratePanel(stage, height * 0.28, rates),
    ...(breath.length === 0 ? [] : [breathPanel(stage, height * 0.27, breath)]),
    ...findingsPanels({ ...stage, left: MARGIN_LEFT, right: width - 10 }),
  ];
  const hasOutside = stage.notes.some((n) => isOutside(n, stage.instrument));
  return barsFrame({
    name: NAME,
    width: innerWidth,
    outerWidth: width,
    title: others.title ?? `${part.name}: what it asks of its player`,
    note: noteOf(stage),
    label: `${part.name} (${stage.instrument.id}) along ${counted(score.bars.length, "bar")}: ${
      counted(stage.findings.length, "finding")
    }${
      stage.findings.length === 0
        ? ""
        : `, ${stage.findings.map((f) => `${f.severity} ${f.rule}`).join(", ")}`
    }`,
    legend: legend(stage, {
      hasOutside,
      hasBreath: breath.length > 0,
      hasSlurs: rates.slurred.rows.length > 0,
    }),
    axis,
    marginLeft: MARGIN_LEFT,
    panels,
  });
}

function partIndexOf(score: Score, asked: number | string): number {
  const index = typeof asked === "number" ? asked : score.parts.findIndex((p) => p.name === asked);
  if (score.parts[index] !== undefined) return index;
  throw new InputError({
    action: "draw the part playability chart",
    problem: `the score has no part ${typeof asked === "number" ? asked : `"${asked}"`}`,
    remedy: `Its parts are ${score.parts.map((p, i) => `${i} ${p.name}`).join(", ")}`,
  });
}

function isOutside(note: Note, { rangeExtreme }: Instrument): boolean {
  return !note.unpitched && note.technique !== "harmonic" &&
    (note.soundingPitch < rangeExtreme.low || note.soundingPitch > rangeExtreme.high);
}

function noteOf({ part, instrument, notes }: PanelStage): string {
  const who = `${instrument.id}, ${counted(part.players, "player")}`;
  const breath = part.players > 1 && needsBreath(instrument)
    ? " Several players on a line breathe in turn."
    : "";
  const silent = notes.length === 0 ? " It does not play." : "";
  return `${who}.${silent}${breath} Limits are guides; players and their teachers decide.`;
}

/** Which panel a rule belongs to. */
function belongsTo(panel: "pitch" | "rate" | "breath", { rule }: PlayabilityFinding): boolean {
  const words = { pitch: /range|register|leap/, rate: /rate|fast|stroke|tremolo|trill/, breath: /breath/ };
  return words[panel].test(rule);
}

/** The findings of a panel: a tint over their bars, the shape at their head. */
function tints(stage: PanelStage, panel: "pitch" | "rate" | "breath"): {
  readonly mark: Plot.Markish;
  readonly shapes: readonly SVGElement[];
} {
  const own = stage.findings.filter((f) => belongsTo(panel, f));
  return {
    mark: Plot.ruleX(own.flatMap((f) => [f.fromBarIndex, f.toBarIndex + 1].map((x) => ({ x, f }))), {
      x: (d: { readonly x: number }) => d.x,
      stroke: (d: { readonly f: PlayabilityFinding }) => SEVERITY_LOOKS[d.f.severity].colour,
      strokeOpacity: 0.6,
      strokeDasharray: "2 3",
      ...namedMark(`${panel}-findings`),
    }),
    shapes: own.map((f) => severityShape(f.severity, { x: stage.xOf(f.fromBarIndex) + 8, y: 9 })),
  };
}

/** The long heading where there is room for it, the short one where not. */
function fitting({ innerWidth }: PanelStage, short: string, more: string): string {
  return textWidth(short + more, 11) <= innerWidth - MARGIN_LEFT - 4 ? short + more : short;
}

/** From the lowest to the highest note that begins in each bar. */
function bandsOf(strokes: readonly NoteStroke[]): readonly PitchBand[] {
  return [...Map.groupBy(strokes, (s) => Math.floor(s.from))].map(([barIndex, list]) => ({
    barIndex,
    low: leastOf(list.map((s) => s.pitch)),
    high: greatestOf(list.map((s) => s.pitch)),
  }));
}

/** Words right of a panel, moved apart. */
function sideLabels(
  stage: PanelStage,
  labels: readonly { readonly text: string; readonly y: number; readonly title?: string }[],
): readonly SVGElement[] {
  const x = stage.innerWidth - 10;
  let last = -Infinity;
  return [...labels].sort((a, b) => a.y - b.y).flatMap(({ text, y, title }) => {
    if (y - last < 11) return [];
    last = y;
    return [svgText({
      text: fitText(text, 10, NAMES + 6),
      x,
      y: y + 3.5,
      size: 10,
      opacity: 0.85,
      title: title ?? text,
    })];
  });
}

function pitchPanel(stage: PanelStage, height: number): BarPanel {
  const { instrument, axis, score, notes, xOf, pixelsPerBar } = stage;
  const { rangeExtreme, rangeComfortable } = instrument;
  const pitched = notes.filter((n) => !n.unpitched);
  const pitches = pitched.map((n) => n.soundingPitch);
  const low = pitches.reduce((a, b) => Math.min(a, b), rangeExtreme.low) - 2;
  const high = pitches.reduce((a, b) => Math.max(a, b), rangeExtreme.high) + 2;
  const yOf = (pitch: number) => 1 + (high - pitch) / (high - low) * (height - 2);
  const strokes = pitched.map((n): NoteStroke => {
    const from = barsAt(score, n.onsetTicks);
    return {
      from,
      to: Math.max(from + 1.2 / pixelsPerBar, barsAt(score, n.onsetTicks + n.durationTicks)),
      pitch: n.soundingPitch,
      isOutside: isOutside(n, instrument),
      title: `${noteName(n.soundingPitch)}, ${barsInWords(axis, Math.floor(from), Math.floor(from))}`,
    };
  });
  const registers = registersOf(instrument)
    .map((r) => ({ ...r, low: Math.max(r.low, rangeExtreme.low), high: Math.min(r.high, rangeExtreme.high) }))
    .filter((r) => r.low <= r.high);
  const octaves = Array.from({ length: 12 }, (_, i) => i * 12).filter((p) => p > low && p < high);
  const ends = { x1: axis.fromBarIndex, x2: axis.toBarIndex + 1 };
  const thick = Math.max(0.4, Math.min(0.9, (high - low) / height * 2));
  const { mark, shapes } = tints(stage, "pitch");
  const crosses = strokes.filter((s) => s.isOutside).map((s) =>
    severityShape("impossible", { x: xOf((s.from + s.to) / 2), y: yOf(s.pitch) })
  );
  return {
    heading: fitting(
      stage,
      "sounding pitch",
      ": shaded where the player is at ease, outlined as far as the instrument reaches",
    ),
    height,
    domain: [low, high],
    marks: [
      Plot.rect([rangeComfortable], {
        ...ends,
        y1: (r: typeof rangeComfortable) => r.low - 0.5,
        y2: (r: typeof rangeComfortable) => r.high + 0.5,
        fill: EASY,
        fillOpacity: 0.55,
        ...namedMark("at-ease"),
      }),
      Plot.ruleY([rangeExtreme.low - 0.5, rangeExtreme.high + 0.5], {
        ...ends,
        stroke: LIMIT,
        strokeWidth: 1.4,
        ...namedMark("reach"),
      }),
      Plot.ruleY(registers.slice(1).map((r) => r.low - 0.5), {
        ...ends,
        stroke: LIMIT,
        strokeOpacity: 0.55,
        strokeDasharray: "1 3",
        ...namedMark("registers"),
      }),
      ...(pixelsPerBar < NARROW_BAR
        ? [Plot.rect(bandsOf(strokes), {
          x1: (b: PitchBand) => b.barIndex,
          x2: (b: PitchBand) => b.barIndex + 1,
          y1: (b: PitchBand) => b.low - thick,
          y2: (b: PitchBand) => b.high + thick,
          fill: PLAYED,
          fillOpacity: 0.22,
          ...namedMark("bands"),
        })]
        : []),
      Plot.axisY(octaves, {
        label: null,
        tickSize: 0,
        tickPadding: 6,
        fontSize: 11,
        tickFormat: (p: number) => noteName(p),
      }),
      mark,
      Plot.rect(strokes, {
        x1: (s: NoteStroke) => s.from,
        x2: (s: NoteStroke) => s.to,
        y1: (s: NoteStroke) => s.pitch - thick,
        y2: (s: NoteStroke) => s.pitch + thick,
        insetRight: pixelsPerBar < NARROW_BAR ? 0 : 0.4,
        fill: (s: NoteStroke) => s.isOutside ? OVER : PLAYED,
        title: (s: NoteStroke) => s.title,
        ...namedMark("notes"),
      }),
    ],
    over: [
      h("g", { class: "outside" }, ...crosses),
      ...shapes,
      ...sideLabels(
        stage,
        registers.map((r) => ({
          text: r.name,
          y: yOf((r.low + r.high) / 2),
          title: `${r.name}, ${noteName(r.low)} to ${noteName(r.high)}: ${r.character}`,
        })),
      ),
    ],
  };
}

function ratePanel(stage: PanelStage, height: number, { strokes, slurred }: Rates): BarPanel {
  const most = (rows: readonly RateRow[]) => rows.reduce((a, r) => Math.max(a, r.perSecond), 0);
  const { limit } = most(slurred.rows) > most(strokes.rows) ? slurred : strokes;
  const top = niceTop(1.08 * Math.max(1, most(strokes.rows), most(slurred.rows), limit?.burstPerSecond ?? 0));
  const yOf = (v: number) => 1 + (1 - v / top) * (height - 2);
  const gap = Math.min(0.8, stage.pixelsPerBar * 0.08);
  const { mark, shapes } = tints(stage, "rate");
  const title = (what: string) => (r: RateRow) =>
    `bar ${stage.axis.numbers[r.barIndex - stage.axis.fromBarIndex]}: ${
      figure(r.perSecond)
    } ${what} a second`;
  const isOver = ({ limit: own }: Rates["strokes"]) => (r: RateRow) =>
    own !== null && r.perSecond > own.burstPerSecond;
  const colour = (rows: Rates["strokes"]) => (r: RateRow) => isOver(rows)(r) ? OVER : PLAYED;
  return {
    heading: fitting(stage, "notes a second", `, over the fastest ${RATE_STEPS + 1} in a row of each bar`),
    height,
    domain: [0, top],
    marks: [
      ...valueAxis({ bottom: 0, top, height }),
      ...(limit === null ? [] : [
        Plot.rect([limit], {
          x1: stage.axis.fromBarIndex,
          x2: stage.axis.toBarIndex + 1,
          y1: limit.sustainedPerSecond,
          y2: limit.burstPerSecond,
          fill: LIMIT,
          fillOpacity: 0.13,
          ...namedMark("limit"),
        }),
      ]),
      mark,
      Plot.rect(strokes.rows, {
        x1: (r: RateRow) => r.barIndex,
        x2: (r: RateRow) => r.barIndex + 1,
        y1: () => 0,
        y2: (r: RateRow) => r.perSecond,
        insetLeft: gap,
        insetRight: gap,
        fill: colour(strokes),
        fillOpacity: 0.85,
        title: title("strokes"),
        ...namedMark("strokes"),
      }),
      Plot.rect(slurred.rows, {
        x1: (r: RateRow) => r.barIndex,
        x2: (r: RateRow) => r.barIndex + 1,
        y1: () => 0,
        y2: (r: RateRow) => r.perSecond,
        insetLeft: gap * 2,
        insetRight: gap * 2,
        fill: "none",
        stroke: colour(slurred),
        strokeWidth: 1.2,
        title: title("notes under slurs"),
        ...namedMark("slurred"),
      }),
      ...(limit === null ? [] : [
        Plot.ruleY([limit.sustainedPerSecond, limit.burstPerSecond], {
          stroke: PAPER,
          strokeWidth: 4,
          strokeOpacity: 0.8,
          ...namedMark("limit-rims"),
        }),
        Plot.ruleY([limit.sustainedPerSecond, limit.burstPerSecond], {
          stroke: PAPER,
          strokeWidth: 4,
          strokeOpacity: 0.8,
          ...namedMark("limit-rims"),
        }),
        Plot.ruleY([limit.sustainedPerSecond], { stroke: LIMIT, strokeWidth: 1.4, ...namedMark("kept-up") }),
        Plot.ruleY([limit.burstPerSecond], {
          stroke: LIMIT,
          strokeWidth: 1.4,
          strokeDasharray: "5 3",
          ...namedMark("burst"),
        }),
      ]),
    ],
    over: [
      ...shapes,
      ...(limit === null ? [] : sideLabels(stage, [
        {
          text: `${tenths(limit.burstPerSecond)} for a moment`,
          y: yOf(limit.burstPerSecond),
          title: `${limit.technique}, in a short burst`,
        },
        {
          text: `${tenths(limit.sustainedPerSecond)} kept up`,
          y: Math.max(yOf(limit.sustainedPerSecond), yOf(limit.burstPerSecond) + 12),
          title: limit.technique,
        },
        {
          text: limit.technique,
          y: Math.max(yOf(limit.sustainedPerSecond), yOf(limit.burstPerSecond) + 12) + 12,
        },
      ])),
    ],
  };
}

/** A figure with its tenth, where it has one. */
function tenths(value: number): string {
  return figure(value).replace(/\.0$/, "");
}

function breathsOf(stage: PanelStage): readonly BreathRow[] {
  if (stage.part.players > 1) return [];
  return breathRows(stage.score, stage.notes, {
    instrument: stage.instrument,
    gapSeconds: stage.settings["breathGapSeconds"] ?? 0.15,
    stealFromSeconds: stage.settings["stealFromSeconds"] ?? 0.5,
  });
}

/** Time without a breath climbs, and falls to nothing at each breath. */
function breathPanel(stage: PanelStage, height: number, rows: readonly BreathRow[]): BarPanel {
  const top = niceTop(1.08 * Math.max(...rows.map((r) => Math.max(r.seconds, r.limitSeconds))));
  const isOver = (r: BreathRow) => r.seconds > r.limitSeconds;
  const ramps = rows.flatMap((r, i) => [
    { x: r.from, y: 0, i, over: isOver(r) },
    { x: r.to, y: r.seconds, i, over: isOver(r) },
  ]);
  const { mark, shapes } = tints(stage, "breath");
  const last = rows.at(-1)!;
  return {
    heading: fitting(
      stage,
      "seconds since the last place to breathe",
      "; the line across each climb is one breath there",
    ),
    height,
    domain: [0, top],
    marks: [
      ...valueAxis({ bottom: 0, top, height }),
      mark,
      Plot.areaY(ramps, {
        x: "x",
        y1: 0,
        y2: "y",
        z: "i",
        fill: (r: (typeof ramps)[number]) => r.over ? OVER : PLAYED,
        fillOpacity: 0.3,
        ...namedMark("breaths"),
      }),
      Plot.line(ramps, {
        x: "x",
        y: "y",
        z: "i",
        stroke: (r: (typeof ramps)[number]) => r.over ? OVER : PLAYED,
        strokeWidth: 1.5,
        ...namedMark("climbs"),
      }),
      Plot.ruleY(rows, {
        x1: (r: BreathRow) => r.from,
        x2: (r: BreathRow) => r.to,
        y: (r: BreathRow) => r.limitSeconds,
        stroke: LIMIT,
        strokeWidth: 2.2,
        title: (r: BreathRow) =>
          `${figure(r.seconds)} seconds without a breath; one lasts about ${figure(r.limitSeconds)}`,
        ...namedMark("one-breath"),
      }),
    ],
    over: [
      ...shapes,
      ...sideLabels(stage, [{
        text: "one breath",
        y: 1 + (1 - last.limitSeconds / top) * (height - 2),
      }]),
    ],
  };
}

function legend({ findings }: PanelStage, { hasOutside, hasBreath, hasSlurs }: {
  readonly hasOutside: boolean;
  readonly hasBreath: boolean;
  readonly hasSlurs: boolean;
}): readonly LegendEntry[] {
  const patch = (attributes: Readonly<Record<string, string | number>>) =>
    h("rect", { x: 0.5, y: 2, width: 21, height: 12, ...attributes });
  const severities = SEVERITIES.filter((s) =>
    findings.some((f) => f.severity === s) || s === "impossible" && hasOutside
  );
  return [
    { sign: { drawn: patch({ fill: PLAYED }) }, label: "notes, strokes" },
    ...(hasSlurs
      ? [{ sign: { drawn: patch({ fill: "none", stroke: PLAYED }) }, label: "with notes under slurs" }]
      : []),
    {
      sign: { drawn: patch({ y: 6, height: 2.4, fill: LIMIT }) },
      label: hasBreath ? "limits, one breath" : "limits",
    },
    ...severities.map((severity) => ({ sign: { severity }, label: severity })),
  ];
}
