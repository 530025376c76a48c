import * as Plot from "@observablehq/plot";
import type { ComparisonRow } from "../../measures/compare/study_results.ts";
import { cannotDraw, type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartFrame, type FrameBlock, severityMark } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { plotBlock } from "../drawing/plot_block.ts";
import { headWords, rowNames } from "../drawing/plot_texts.ts";
import { type Chart, h } from "../drawing/svg.ts";
import { fitText, textWidth } from "../drawing/text_width.ts";
import { counted, figure, levelFigure } from "../drawing/words.ts";
import { hue } from "../drawing/theme.ts";
import { comparisonTitle } from "../titles/comparison_titles.ts";

/** One panel: a measure and its unit. */
interface ComparedMeasure {
  readonly name: string;
  readonly unit: string;
  /** What pops up over the unit, where there is more to say. */
  readonly more?: string;
  readonly valueOf: (row: ComparisonRow) => number | null;
  readonly decimals: number;
  /** What stands where there is no figure. */
  readonly missing?: (row: ComparisonRow) => string;
  /** Whether figures that are all whole are written without decimals. */
  readonly isCount?: boolean;
  /** Upper end of the scale at least; undefined where the values decide. */
  readonly top?: number;
}

const NO_LEAD = "no lead";
/** What stands in place of a level against the rest. */
const withoutRest = (r: ComparisonRow) =>
  r.audibleShare === null ? NO_LEAD : levelFigure(null, r.audibleShare);

const MEASURES: readonly ComparedMeasure[] = [
  {
    name: "Momentum",
    unit: "attacks per second",
    valueOf: (r) => r.momentum,
    decimals: 2,
  },
  {
    name: "Secondary parts",
    unit: "share of momentum",
    valueOf: (r) => r.secondaryShare,
    decimals: 2,
    top: 1,
  },
  {
    name: "Lead heard",
    unit: "share of its loudness",
    valueOf: (r) => r.audibleShare,
    decimals: 2,
    top: 1,
  },
  {
    name: "Lead by power",
    unit: "dB above the rest",
    valueOf: (r) => r.powerDb,
    missing: withoutRest,
    decimals: 1,
  },
  {
    name: "Lead by handbook",
    unit: "dB, all at one dynamic",
    more: "dB above the rest; counts players at one dynamic, ignores who is marked louder",
    valueOf: (r) => r.handbookDb,
    missing: withoutRest,
    decimals: 1,
  },
  {
    name: "Freshness",
    unit: "mean, 0 to 1",
    valueOf: (r) => r.freshness,
    decimals: 2,
    top: 1,
  },
  {
    name: "Fullness",
    unit: "mean, 0 to 1",
    more: "mean, 0 to 1: how complete and well spaced the chord beside the lead is",
    valueOf: (r) => r.fullness,
    decimals: 2,
    top: 1,
  },
  {
    name: "Goes with the tune",
    unit: "-1 to 1",
    more:
      "-1 to 1: whether loudness, register and density rise and fall with the tune; 0 where they stay level",
    valueOf: (r) => r.contour,
    missing: () => "level",
    decimals: 2,
    top: 1,
  },
  {
    name: "Range of loudness",
    unit: "phons",
    valueOf: (r) => r.loudnessRange,
    decimals: 0,
  },
  {
    name: "Idiom",
    unit: "mean, 0 to 1",
    more: "mean, 0 to 1: how usual it is what the instruments do",
    valueOf: (r) => r.idiom,
    missing: () => "left out",
    decimals: 2,
    top: 1,
  },
  {
    name: "Bars between changes",
    unit: "bars",
    valueOf: (r) => r.barsBetweenChanges,
    missing: () => "none",
    decimals: 1,
    isCount: true,
  },
];

const NAME = "comparison";
const SIDE = 12;
const GAP = 24;
const ROW = 22;
const HEAD = 36;
const FOOT = 18;
const FIGURE_ROOM = 42;
const LEAST_PANEL = 140;
/** Size of the names of severities, in pixels: all three fit the narrowest panel. */
const SEVERITY_SIZE = 9;
/** Fills of the settings, in order, by lightness; their numbers stand beside the bars, so colour is not needed. */
const FILLS = (["blue", "teal", "violet", "amber", "wine", "navy"] as const).map(hue);

/**
 * Settings side by side: one small panel per measure, each with its unit, one bar per setting, and the
 * findings counted.
 *
 * @param rows one row per setting, as from `compare`
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when there are no rows, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { compare, demoScore, study } from "ripieno";
 * import { chartSvg, comparisonChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const rows = compare([study(demoScore(), { name: "moving" })]);
 * assertStringIncludes(chartSvg(comparisonChart(rows)), "moving");
 * ```
 */
export function comparisonChart(rows: readonly ComparisonRow[], options: ChartOptions = {}): Chart {
  const { width, title, height } = checkedOptions("comparison chart", options);
  if (!Array.isArray(rows) || rows.length === 0) {
    throw cannotDraw(
      "comparison chart",
      "there are no settings to compare",
      "Give the rows that compare() returns",
    );
  }
  const nameRoom = Math.min(width * 0.36, Math.max(...rows.map((r) => textWidth(r.name, 11))) + 12);
  const left = SIDE + nameRoom;
  const room = width - SIDE - left;
  const drawers = [...MEASURES.map(measurePanel), findingsPanel];
  const most = Math.max(1, Math.min(5, Math.floor((room + GAP) / (LEAST_PANEL + GAP))));
  // Lines that are filled alike.
  const columns = Math.ceil(drawers.length / Math.ceil(drawers.length / most));
  const panelWidth = (room - (columns - 1) * GAP) / columns;
  const lines = Math.ceil(drawers.length / columns);
  const rowHeight = height === undefined ? ROW : Math.max(12, (height / lines - HEAD - FOOT) / rows.length);
  const lineHeight = HEAD + rows.length * rowHeight + FOOT;
  const panel = {
    height: lineHeight,
    marginTop: HEAD,
    marginBottom: FOOT,
    y: { type: "band", domain: rows.map((_, i) => i), padding: 0 },
  } as const;
  const names = () =>
    plotBlock({
      ...panel,
      width: left + 1,
      marginLeft: left,
      marks: [rowNames(rows, { y: (_, i) => i, nameOf: (r) => r.name, room: nameRoom - 10 })],
    });
  const placed = ({ element }: FrameBlock, x: number, line: number) =>
    h("g", { transform: `translate(${x},${line * lineHeight})` }, element);
  const panels = drawers.map((draw, i) =>
    placed(
      draw({ rows, width: panelWidth, panel }),
      left + (i % columns) * (panelWidth + GAP),
      Math.floor(i / columns),
    )
  );
  return chartFrame({
    name: NAME,
    width,
    title: title ?? comparisonTitle(rows),
    label: `${counted(rows.length, "setting")} compared: ${
      rows.map((r) => `${r.name} momentum ${r.momentum.toFixed(1)}`).join(", ")
    }`,
    legend: [],
    blocks: [{
      element: h("g", {}, ...Array.from({ length: lines }, (_, line) => placed(names(), 0, line)), ...panels),
      height: lines * lineHeight,
    }],
  });
}

interface PanelInput {
  readonly rows: readonly ComparisonRow[];
  readonly width: number;
  /** Height, margins and the scale of the rows, the same for all. */
  readonly panel: { readonly height: number } & Plot.PlotOptions;
}

/** One bar per setting, with its figure at the end. */
function measurePanel(
  { name, unit, more = unit, decimals, isCount = false, valueOf, missing = () => NO_LEAD, top = 0 }:
    ComparedMeasure,
): (input: PanelInput) => FrameBlock {
  return ({ rows, width, panel }) => {
    const known = rows.map(valueOf).filter((v) => v !== null);
    const places = isCount && known.every(Number.isInteger) ? 0 : decimals;
    const highest = Math.max(top, 0, ...known);
    const lowest = Math.min(0, ...known);
    const figureOf = (row: ComparisonRow) => {
      const value = valueOf(row);
      return value === null ? missing(row) : figure(value, places);
    };
    const leftRoom = lowest < 0 ? FIGURE_ROOM : 0;
    const bars = rows.map((row, i) => ({ row, i, value: valueOf(row) }));
    const isLeft = (b: SettingValue) => (b.value ?? 0) < 0;
    const figures = {
      x: (b: SettingValue) => b.value ?? 0,
      y: "i",
      text: (b: SettingValue) => figureOf(b.row),
    } as const;
    return plotBlock({
      ...panel,
      label: name,
      width,
      marginLeft: leftRoom,
      marginRight: highest > 0 || lowest === 0 ? FIGURE_ROOM : 4,
      x: { domain: [lowest, highest > lowest ? highest : 1] },
      marks: [
        headWords(fitText(name, 12, width), { dx: -leftRoom, dy: 12 - HEAD, size: 12, weight: 600 }),
        headWords(fitText(unit, 10, width), {
          dx: -leftRoom,
          dy: 26 - HEAD,
          size: 10,
          opacity: 0.68,
          title: more,
        }),
        Plot.barX(bars.filter((b) => b.value !== null), {
          x1: 0,
          x2: "value",
          y: "i",
          insetTop: 3,
          insetBottom: 3,
          fill: (b: SettingValue) => FILLS[b.i % FILLS.length]!,
          title: (b: SettingValue) => `${b.row.name}: ${name}, ${figureOf(b.row)} ${unit}`,
          ...namedMark("values"),
        }),
        Plot.text(bars.filter(isLeft), { ...figures, textAnchor: "end", dx: -5 }),
        Plot.text(bars.filter((b) => !isLeft(b)), { ...figures, textAnchor: "start", dx: 5 }),
        Plot.ruleX([0], { insetTop: -2, insetBottom: -2, strokeOpacity: 0.6 }),
      ],
    });
  };
}

interface SettingValue {
  readonly row: ComparisonRow;
  readonly i: number;
  readonly value: number | null;
}

/** Findings by severity: a shape and a count each. */
function findingsPanel({ rows, width, panel }: PanelInput): FrameBlock {
  const severities = ["impossible", "risky", "tiring"] as const;
  const widths = severities.map((severity) => textWidth(severity, SEVERITY_SIZE) + 8);
  const spare = Math.max(0, width - widths.reduce((sum, w) => sum + w, 0)) / severities.length;
  const left = widths.map((_, k) => widths.slice(0, k).reduce((sum, w) => sum + w + Math.min(spare, 16), 0));
  const counts = rows.flatMap((row, y) =>
    severities.map((severity, k) => ({ row, severity, x: left[k]!, y }))
  );
  return plotBlock({
    ...panel,
    label: "findings",
    width,
    x: { domain: [0, width] },
    marks: [
      headWords("Findings", { dy: 12 - HEAD, size: 12, weight: 600 }),
      ...severities.map((severity, k) =>
        headWords(severity, { dx: left[k]!, dy: 26 - HEAD, size: SEVERITY_SIZE, opacity: 0.68 })
      ),
      severityMark(counts, { dx: 7 }),
      Plot.text(counts, {
        x: "x",
        y: "y",
        dx: 18,
        textAnchor: "start",
        text: ({ row, severity }: typeof counts[number]) => String(row[severity]),
        title: ({ row, severity }: typeof counts[number]) => `${row.name}: ${row[severity]} ${severity}`,
      }),
    ],
  });
}
