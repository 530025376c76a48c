import type { ComparisonRow } from "../../measures/compare/study_results.ts";
import { InputError } from "../../base/errors.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartDocument } from "../drawing/chart_document.ts";
import { chartFrame, severityShape } from "../drawing/frame.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth } from "../drawing/text_width.ts";
import { counted } from "../drawing/words.ts";

/** One panel: a measure and its unit. */
interface ComparedMeasure {
  readonly name: string;
  readonly unit: string;
  /** What pops up over the unit, where there is more to say. */
  readonly more?: string;
  readonly valueOf: (row: ComparisonRow) => number | null;
  readonly decimals: number;
  /** Whether figures that are all whole are written without decimals. */
  readonly isCount?: boolean;
  /** Upper end of the scale at least; undefined where the values decide. */
  readonly top?: number;
}

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
    decimals: 1,
  },
  {
    name: "Lead by handbook",
    unit: "dB, all at one dynamic",
    more: "dB above the rest; counts players at one dynamic, ignores who is marked louder",
    valueOf: (r) => r.handbookDb,
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
    name: "Bars between changes",
    unit: "bars",
    valueOf: (r) => r.barsBetweenChanges,
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
const LEAST_PANEL = 150;
/** Fills of the settings, in order, by lightness; their numbers stand beside the bars, so colour is not needed. */
const FILLS = ["#2e95b3", "#2f6a66", "#7d65c0", "#d8922b", "#981230", "#262b57"];

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
  const { width, title = "Settings side by side", height } = checkedOptions("comparison chart", options);
  if (!Array.isArray(rows) || rows.length === 0) {
    throw new InputError({
      action: "draw the comparison chart",
      problem: "there are no settings to compare",
      remedy: "Give the rows that compare() returns",
    });
  }
  const document = chartDocument();
  const nameRoom = Math.min(width * 0.36, Math.max(...rows.map((r) => textWidth(r.name, 11))) + 12);
  const room = width - 2 * SIDE - nameRoom;
  const columns = Math.max(1, Math.min(4, Math.floor((room + GAP) / (LEAST_PANEL + GAP))));
  const panelWidth = (room - (columns - 1) * GAP) / columns;
  const drawers = [...MEASURES.map((measure) => measurePanel(measure)), findingsPanel];
  const lines = Math.ceil(drawers.length / columns);
  const rowHeight = height === undefined ? ROW : Math.max(12, (height / lines - HEAD - FOOT) / rows.length);
  const lineHeight = HEAD + rows.length * rowHeight + FOOT;
  const panels = drawers.map((draw, i) =>
    h(document, "g", {
      transform: `translate(${SIDE + nameRoom + (i % columns) * (panelWidth + GAP)},${
        Math.floor(i / columns) * lineHeight
      })`,
      class: "measure",
    }, ...draw(document, { rows, width: panelWidth, rowHeight }))
  );
  const names = Array.from({ length: lines }, (_, line) =>
    rows.map((row, i) =>
      svgText(document, {
        text: fitText(row.name, 11, nameRoom - 10),
        x: SIDE + nameRoom - 10,
        y: line * lineHeight + HEAD + (i + 0.5) * rowHeight + 4,
        anchor: "end",
        title: row.name,
      })
    )).flat();
  return chartFrame(document, {
    name: NAME,
    width,
    title,
    label: `${counted(rows.length, "setting")} compared: ${
      rows.map((r) => `${r.name} momentum ${r.momentum.toFixed(1)}`).join(", ")
    }`,
    legend: [],
    blocks: [{
      element: h(document, "g", {}, ...names, ...panels),
      height: lines * lineHeight,
    }],
  });
}

/** What a panel is drawn from. */
interface PanelInput {
  readonly rows: readonly ComparisonRow[];
  readonly width: number;
  readonly rowHeight: number;
}

function heading(document: Document, { name, notes, more, width }: {
  readonly name: string;
  readonly notes: string;
  readonly more: string;
  readonly width: number;
}): readonly SVGElement[] {
  return [
    svgText(document, { text: fitText(name, 12, width), x: 0, y: 12, size: 12, weight: 600 }),
    svgText(document, {
      text: fitText(notes, 10, width),
      x: 0,
      y: 26,
      size: 10,
      opacity: 0.68,
      title: more,
    }),
  ];
}

/** One bar per setting, with its figure at the end. */
function measurePanel(
  { name, unit, more = unit, decimals, isCount = false, valueOf, top = 0 }: ComparedMeasure,
): (document: Document, input: PanelInput) => readonly SVGElement[] {
  return (document, { rows, width, rowHeight }) => {
    const known = rows.map(valueOf).filter((v) => v !== null);
    const places = isCount && known.every(Number.isInteger) ? 0 : decimals;
    const highest = Math.max(top, 0, ...known);
    const lowest = Math.min(0, ...known);
    const leftRoom = lowest < 0 ? FIGURE_ROOM : 0;
    const rightRoom = highest > 0 || lowest === 0 ? FIGURE_ROOM : 4;
    const scale = (width - leftRoom - rightRoom) / Math.max(1e-9, highest - lowest);
    const xOf = (value: number) => leftRoom + (value - lowest) * scale;
    const zero = highest > lowest ? xOf(0) : 0;
    const bars = rows.flatMap((row, i) => {
      const value = valueOf(row);
      const y = HEAD + i * rowHeight;
      const end = value === null || highest === lowest ? zero : xOf(value);
      const isLeft = end < zero;
      const figure = value === null ? "no lead" : value.toFixed(places).replace("-", "−");
      const text = svgText(document, {
        text: figure,
        x: isLeft ? end - 5 : end + 5,
        y: y + rowHeight / 2 + 4,
        anchor: isLeft ? "end" : "start",
      });
      if (value === null) return [text];
      const bar = h(document, "rect", {
        x: Math.min(zero, end),
        y: y + 3,
        width: Math.max(0.5, Math.abs(end - zero)),
        height: rowHeight - 6,
        fill: FILLS[i % FILLS.length] ?? "#2e95b3",
        class: "value",
        title: `${row.name}: ${name}, ${figure} ${unit}`,
      });
      return [bar, text];
    });
    const axis = h(document, "path", {
      d: `M${zero} ${HEAD - 2}V${HEAD + rows.length * rowHeight + 2}`,
      stroke: "currentColor",
      "stroke-opacity": 0.6,
    });
    return [...heading(document, { name, notes: unit, more, width }), ...bars, axis];
  };
}

/** Findings by severity: a shape and a count each. */
function findingsPanel(document: Document, { rows, width, rowHeight }: PanelInput): readonly SVGElement[] {
  const severities = ["impossible", "risky", "tiring"] as const;
  const step = Math.min(66, width / severities.length);
  const counts = rows.flatMap((row, i) =>
    severities.flatMap((severity, k) => {
      const y = HEAD + (i + 0.5) * rowHeight;
      return [
        severityShape(document, severity, { x: k * step + 7, y }),
        svgText(document, {
          text: String(row[severity]),
          x: k * step + 18,
          y: y + 4,
          title: `${row.name}: ${row[severity]} ${severity}`,
        }),
      ];
    })
  );
  const words = severities.map((severity, k) =>
    svgText(document, { text: fitText(severity, 9.5, step), x: k * step, y: 26, size: 9.5, opacity: 0.68 })
  );
  return [svgText(document, { text: "Findings", x: 0, y: 12, size: 12, weight: 600 }), ...words, ...counts];
}
