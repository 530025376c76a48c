import { greatestOf, leastOf } from "../../base/extremes.ts";
import { A_NUMBER, A_PLAYABILITY, A_SCORE, checkArgument, type Kind } from "../../base/arguments.ts";
// @ts-types="@types/d3-array"
import { range } from "d3-array";
import * as Plot from "@observablehq/plot";
import { type Instrument, instrumentById } from "../../instruments/catalogue.ts";
import type { SpeedLimit } from "../../instruments/rates.ts";
import { registersOf } from "../../instruments/registers.ts";
import type { Playability, PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import type { Note, Part, Score } from "../../score/model.ts";
import { axisOfScore, barsInWords, numberOf } from "../drawing/bar_axis.ts";
import { barBoxes } from "../drawing/bar_marks.ts";
import { type BarScale, barScale, MARGIN_LEFT } from "../drawing/bar_scale.ts";
import { type BarPanel, barsFrame } from "../drawing/bars_frame.ts";
import { cannotDraw, type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { findingsPanels } from "../panels/findings_panel.ts";
import { type LegendEntry, severityShape } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { instrumentAsPrinted, noteName } from "../drawing/note_name.ts";
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
import { outlined } from "../drawing/signs.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth } from "../drawing/text_width.ts";
import { hue, PAPER, SEVERITIES, SEVERITY_LOOKS, severityColour } from "../drawing/theme.ts";
import { leftAxis, niceTop, valueAxis } from "../drawing/value_axis.ts";
import { counted, figure } from "../drawing/words.ts";
import { barIndexOf } from "../../score/time.ts";
import { partTitle } from "../titles/craft_titles.ts";

/** Options of {@linkcode partPlayabilityChart}. */
export interface PartPlayabilityChartOptions extends ChartOptions {
  /** The part: its index in `score.parts`, or its name. By default the part of the most serious finding. */
  readonly part?: number | string;
}

type Rates = ReturnType<typeof rateRows>;

interface NoteStroke {
  readonly from: number;
  readonly to: number;
  readonly pitch: number;
  readonly isOutside: boolean;
  readonly title: string;
}

interface PitchBand {
  readonly barIndex: number;
  readonly low: number;
  readonly high: number;
}

interface PanelStage {
  readonly score: Score;
  readonly part: Part;
  readonly instrument: Instrument;
  readonly notes: readonly Note[];
  readonly findings: readonly PlayabilityFinding[];
  readonly scale: BarScale;
  readonly settings: Playability["settings"];
}

const NAME = "part-playability";
/** Where a bar is narrower, in pixels, its notes are too thin to be followed and its span of pitch is drawn as well. */
const NARROW_BAR = 12;
const NAMES = 118;
const EASY = hue("teal");
const LIMIT = hue("teal");
const PLAYED = hue("navy");
const OVER = severityColour("impossible");

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
  const stage: PanelStage = {
    score,
    part,
    instrument: instrumentById(part.instrument),
    notes: notesOfPart(score, index),
    findings: playability.findings.filter((f) => f.part === index),
    scale: barScale(axisOfScore(score), { width: width - NAMES }),
    settings: playability.settings,
  };
  const breath = breathsOf(stage);
  const rates = rateRows(score, stage.notes, stage);
  return barsFrame({
    name: NAME,
    scale: stage.scale,
    outerWidth: width,
    title: others.title ?? partTitle(instrumentAsPrinted(part.name), {
      findings: stage.findings,
      playsIn: new Set(stage.notes.map((n) => barIndexOf(score, n.onsetTicks))).size /
        Math.max(1, score.bars.length),
    }),
    note: noteOf(stage),
    label: labelOf(stage),
    legend: legend(stage, { hasBreath: breath.length > 0, hasSlurs: rates.slurred.rows.length > 0 }),
    panels: [
      ...(stage.instrument.unpitched ? [] : [pitchPanel(stage, height * 0.45)]),
      ratePanel(stage, height * 0.28, rates),
      ...(breath.length === 0 ? [] : [breathPanel(stage, height * 0.27, breath)]),
      ...findingsPanels(stage.findings, stage.scale, { left: MARGIN_LEFT, right: width - 10 }),
    ],
  });
}

function labelOf({ part, instrument, score, findings }: PanelStage): string {
  const along = `${instrumentAsPrinted(part.name)} (${instrumentAsPrinted(instrument.id)}) along ${
    counted(score.bars.length, "bar")
  }: `;
  return along +
    [counted(findings.length, "finding"), ...findings.map((f) => `${f.severity} ${f.rule}`)].join(", ");
}

function partIndexOf(score: Score, asked: number | string): number {
  const index = typeof asked === "number" ? asked : score.parts.findIndex((p) => p.name === asked);
  if (score.parts[index] !== undefined) return index;
  throw cannotDraw(
    "part playability chart",
    `the score has no part ${typeof asked === "number" ? asked : `"${asked}"`}`,
    `Its parts are ${score.parts.map((p, i) => `${i} ${p.name}`).join(", ")}`,
  );
}

function isOutside(note: Note, { rangeExtreme }: Instrument): boolean {
  return !note.unpitched && note.technique !== "harmonic" &&
    (note.soundingPitch < rangeExtreme.low || note.soundingPitch > rangeExtreme.high);
}

function noteOf({ part, instrument, notes }: PanelStage): string {
  const who = `${instrumentAsPrinted(instrument.id)}, ${counted(part.players, "player")}`;
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
function tints({ findings, scale }: PanelStage, panel: "pitch" | "rate" | "breath"): {
  readonly mark: Plot.Markish;
  readonly shapes: readonly SVGElement[];
} {
  const own = findings.filter((f) => belongsTo(panel, f));
  const ends = own.flatMap(({ severity, fromBarIndex, toBarIndex }) =>
    [fromBarIndex, toBarIndex + 1].map((x) => ({ x, stroke: SEVERITY_LOOKS[severity].colour }))
  );
  return {
    mark: Plot.ruleX(ends, {
      x: "x",
      stroke: "stroke",
      strokeOpacity: 0.6,
      strokeDasharray: "2 3",
      ...namedMark(`${panel}-findings`),
    }),
    shapes: own.map((f) => severityShape(f.severity, { x: scale.xOf(f.fromBarIndex) + 8, y: 9 })),
  };
}

/** The long heading where there is room for it, the short one where not. */
function fitting({ scale }: PanelStage, short: string, more: string): string {
  return textWidth(short + more, 11) <= scale.width - MARGIN_LEFT - 4 ? short + more : short;
}

/** From the lowest to the highest note that begins in each bar. */
function bandsOf(strokes: readonly NoteStroke[]): readonly PitchBand[] {
  return [...Map.groupBy(strokes, (s) => Math.floor(s.from))].map(([barIndex, list]) => ({
    barIndex,
    low: leastOf(list.map((s) => s.pitch)),
    high: greatestOf(list.map((s) => s.pitch)),
  }));
}

/** Words right of a panel; those that would touch the ones above are left out. */
function sideLabels(
  { scale }: PanelStage,
  labels: readonly { readonly text: string; readonly y: number; readonly title?: string }[],
): readonly SVGElement[] {
  let last = -Infinity;
  return labels.toSorted((a, b) => a.y - b.y).flatMap(({ text: words, y, title = words }) => {
    if (y - last < 11) return [];
    last = y;
    const text = fitText(words, 10, NAMES + 6);
    return [svgText({ text, x: scale.width - 10, y: y + 3.5, size: 10, opacity: 0.85, title })];
  });
}

function pitchPanel(stage: PanelStage, height: number): BarPanel {
  const { instrument: { rangeExtreme }, scale } = stage;
  const strokes = strokesOf(stage);
  const pitches = strokes.map((s) => s.pitch);
  const low = leastOf(pitches, rangeExtreme.low) - 2;
  const high = greatestOf(pitches, rangeExtreme.high) + 2;
  const thick = Math.max(0.4, Math.min(0.9, (high - low) / height * 2));
  const yOf = (pitch: number) => 1 + (high - pitch) / (high - low) * (height - 2);
  const { mark, shapes } = tints(stage, "pitch");
  const crosses = strokes.filter((s) => s.isOutside).map((s) =>
    severityShape("impossible", { x: scale.xOf((s.from + s.to) / 2), y: yOf(s.pitch) })
  );
  const registers = registersOf(stage.instrument)
    .map((r) => ({ ...r, low: Math.max(r.low, rangeExtreme.low), high: Math.min(r.high, rangeExtreme.high) }))
    .filter((r) => r.low <= r.high);
  return {
    heading: fitting(
      stage,
      "sounding pitch",
      ": shaded where the player is at ease, outlined as far as the instrument reaches",
    ),
    height,
    domain: [low, high],
    marks: [
      ...reachMarks(stage, registers.slice(1).map((r) => r.low - 0.5)),
      ...bandMarks(strokes, scale, thick),
      leftAxis(range(0, 144, 12).filter((p) => p > low && p < high), noteName),
      mark,
      strokeBoxes(strokes, scale, thick),
    ],
    over: [
      h("g", { class: "outside" }, ...crosses),
      ...shapes,
      ...sideLabels(
        stage,
        registers.map(({ name, low, high, character }) => ({
          text: name,
          y: yOf((low + high) / 2),
          title: `${name}, ${noteName(low)} to ${noteName(high)}: ${character}`,
        })),
      ),
    ],
  };
}

/** The notes as strokes, each wide enough to be seen. */
function strokesOf({ notes, score, instrument, scale }: PanelStage): readonly NoteStroke[] {
  return notes.filter((n) => !n.unpitched).map((n): NoteStroke => {
    const from = barsAt(score, n.onsetTicks);
    const bar = Math.floor(from);
    return {
      from,
      to: Math.max(from + 1.2 / scale.pixelsPerBar, barsAt(score, n.onsetTicks + n.durationTicks)),
      pitch: n.soundingPitch,
      isOutside: isOutside(n, instrument),
      title: `${noteName(n.soundingPitch)}, ${barsInWords(scale.axis, bar, bar)}`,
    };
  });
}

/** Where the player is at ease, how far the instrument reaches, where its registers meet. */
function reachMarks(
  { instrument: { rangeComfortable, rangeExtreme }, scale: { axis } }: PanelStage,
  borders: readonly number[],
): readonly Plot.Markish[] {
  const ends = { x1: axis.fromBarIndex, x2: axis.toBarIndex + 1, stroke: LIMIT };
  return [
    barBoxes("at-ease", [axis], {
      y1: rangeComfortable.low - 0.5,
      y2: rangeComfortable.high + 0.5,
      fill: EASY,
      fillOpacity: 0.24,
    }),
    Plot.ruleY([rangeExtreme.low - 0.5, rangeExtreme.high + 0.5], {
      ...ends,
      strokeWidth: 1.4,
      ...namedMark("reach"),
    }),
    Plot.ruleY(borders, { ...ends, strokeOpacity: 0.55, strokeDasharray: "1 3", ...namedMark("registers") }),
  ];
}

/** Behind strokes too thin to be followed, the span of pitch of each bar. */
function bandMarks(
  strokes: readonly NoteStroke[],
  { pixelsPerBar }: BarScale,
  thick: number,
): readonly Plot.Markish[] {
  if (pixelsPerBar >= NARROW_BAR) return [];
  const bands = bandsOf(strokes);
  const ends = { y1: (b: PitchBand) => b.low - thick, y2: (b: PitchBand) => b.high + thick };
  return [barBoxes("bands", bands, { ...ends, fill: PLAYED, fillOpacity: 0.22 })];
}

function strokeBoxes(
  strokes: readonly NoteStroke[],
  { pixelsPerBar }: BarScale,
  thick: number,
): Plot.Markish {
  return Plot.rect(strokes, {
    x1: "from",
    x2: "to",
    y1: (s: NoteStroke) => s.pitch - thick,
    y2: (s: NoteStroke) => s.pitch + thick,
    insetRight: pixelsPerBar < NARROW_BAR ? 0 : 0.4,
    fill: (s: NoteStroke) => s.isOutside ? OVER : PLAYED,
    title: "title",
    ...namedMark("notes"),
  });
}

function ratePanel(stage: PanelStage, height: number, { strokes, slurred }: Rates): BarPanel {
  const { scale } = stage;
  const most = ({ rows }: Rates["strokes"]) => greatestOf(rows.map((r) => r.perSecond), 0);
  const { limit } = most(slurred) > most(strokes) ? slurred : strokes;
  const top = niceTop(1.08 * Math.max(1, most(strokes), most(slurred), limit?.burstPerSecond ?? 0));
  const inset = Math.min(0.8, scale.pixelsPerBar * 0.08);
  const { mark, shapes } = tints(stage, "rate");
  const titled = (what: string) => (r: RateRow) =>
    `bar ${numberOf(scale.axis, r.barIndex)}: ${figure(r.perSecond)} ${what} a second`;
  const colour = ({ limit: own }: Rates["strokes"]) => (r: RateRow) =>
    own !== null && r.perSecond > own.burstPerSecond ? OVER : PLAYED;
  const boxes = (gap: number) => ({ y2: (r: RateRow) => r.perSecond, insetLeft: gap, insetRight: gap });
  return {
    heading: fitting(stage, "notes a second", `, over the fastest ${RATE_STEPS + 1} in a row of each bar`),
    height,
    domain: [0, top],
    marks: [
      ...valueAxis({ bottom: 0, top, height }),
      ...(limit === null ? [] : [limitBand(limit, scale)]),
      mark,
      barBoxes("strokes", strokes.rows, {
        ...boxes(inset),
        fill: colour(strokes),
        fillOpacity: 0.85,
        title: titled("strokes"),
      }),
      barBoxes("slurred", slurred.rows, {
        ...boxes(inset * 2),
        fill: "none",
        stroke: colour(slurred),
        strokeWidth: 1.2,
        title: titled("notes under slurs"),
      }),
      ...(limit === null ? [] : limitLines(limit)),
    ],
    over: [
      ...shapes,
      ...(limit === null ? [] : limitLabels(stage, limit, (v) => 1 + (1 - v / top) * (height - 2))),
    ],
  };
}

/** From what can be kept up to what goes for a moment. */
function limitBand({ sustainedPerSecond, burstPerSecond }: SpeedLimit, { axis }: BarScale): Plot.Markish {
  const ends = { y1: sustainedPerSecond, y2: burstPerSecond };
  return barBoxes("limit", [axis], { ...ends, fill: LIMIT, fillOpacity: 0.13 });
}

/** Its ends as lines, with rims of paper so that they are seen upon the strokes. */
function limitLines({ sustainedPerSecond, burstPerSecond }: SpeedLimit): readonly Plot.Markish[] {
  const rims = () =>
    Plot.ruleY([sustainedPerSecond, burstPerSecond], {
      stroke: PAPER,
      strokeWidth: 4,
      strokeOpacity: 0.8,
      ...namedMark("limit-rims"),
    });
  const line = { stroke: LIMIT, strokeWidth: 1.4 };
  return [
    rims(),
    rims(), // twice, so that little shines through
    Plot.ruleY([sustainedPerSecond], { ...line, ...namedMark("kept-up") }),
    Plot.ruleY([burstPerSecond], { ...line, strokeDasharray: "5 3", ...namedMark("burst") }),
  ];
}

function limitLabels(
  stage: PanelStage,
  { sustainedPerSecond, burstPerSecond, technique }: SpeedLimit,
  yOf: (perSecond: number) => number,
): readonly SVGElement[] {
  const lower = Math.max(yOf(sustainedPerSecond), yOf(burstPerSecond) + 12);
  return sideLabels(stage, [
    {
      text: `${tenths(burstPerSecond)} for a moment`,
      y: yOf(burstPerSecond),
      title: `${technique}, in a short burst`,
    },
    { text: `${tenths(sustainedPerSecond)} kept up`, y: lower, title: technique },
    { text: technique, y: lower + 12 },
  ]);
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
  const ramps = rows.flatMap((r, i) => {
    const colour = r.seconds > r.limitSeconds ? OVER : PLAYED;
    return [{ x: r.from, y: 0, i, colour }, { x: r.to, y: r.seconds, i, colour }];
  });
  const { mark, shapes } = tints(stage, "breath");
  const limitY = 1 + (1 - rows.at(-1)!.limitSeconds / top) * (height - 2);
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
        fill: "colour",
        fillOpacity: 0.3,
        ...namedMark("breaths"),
      }),
      Plot.line(ramps, {
        x: "x",
        y: "y",
        z: "i",
        stroke: "colour",
        strokeWidth: 1.5,
        ...namedMark("climbs"),
      }),
      Plot.ruleY(rows, {
        x1: "from",
        x2: "to",
        y: "limitSeconds",
        stroke: LIMIT,
        strokeWidth: 2.2,
        title: (r: BreathRow) =>
          `${figure(r.seconds)} seconds without a breath; one lasts about ${figure(r.limitSeconds)}`,
        ...namedMark("one-breath"),
      }),
    ],
    over: [...shapes, ...sideLabels(stage, [{ text: "one breath", y: limitY }])],
  };
}

function legend(
  { findings, notes, instrument }: PanelStage,
  { hasBreath, hasSlurs }: { readonly hasBreath: boolean; readonly hasSlurs: boolean },
): readonly LegendEntry[] {
  const hasOutside = notes.some((n) => isOutside(n, instrument));
  const severities = SEVERITIES.filter((s) =>
    findings.some((f) => f.severity === s) || s === "impossible" && hasOutside
  );
  return [
    [outlined({ fill: PLAYED }), "notes, strokes"],
    ...(hasSlurs ? [[outlined({ fill: "none", stroke: PLAYED }), "with notes under slurs"] as const] : []),
    [outlined({ y: 6, height: 2.4, fill: LIMIT }), hasBreath ? "limits, one breath" : "limits"],
    ...severities.map((severity) => [severity, severity] as const),
  ];
}
