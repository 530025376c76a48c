import * as Plot from "@observablehq/plot";
import type { BuildUpStep } from "../../orchestrate/rewrite/build_up.ts";
import { cannotDraw, type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartFrame, type FrameBlock, roleFill } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { plotBlock } from "../drawing/plot_block.ts";
import { headWords, rowNames } from "../drawing/plot_texts.ts";
import { type Chart, h } from "../drawing/svg.ts";
import { textWidth } from "../drawing/text_width.ts";
import { hue } from "../drawing/theme.ts";
import { figure, percent } from "../drawing/words.ts";
import { buildUpTitle } from "../titles/motion_titles.ts";

const NAME = "build-up";
const SIDE = 12;
const GAP = 28;
const ROW = 30;
const HEAD = 36;
const FOOT = 10;
const FIGURE_ROOM = 84;
/** Share of the room that momentum has; the lead has the rest. */
const MOMENTUM_ROOM = 0.6;

/** A step with its place from the top. */
interface StepRow {
  readonly step: BuildUpStep;
  readonly i: number;
  readonly before: number;
}

/**
 * A texture built up step by step: at each step the momentum of all layers so far, with what the new one adds in the colour of
 * its role, and beside it how much of the lead is left to the ear.
 *
 * @param steps the steps, as from `buildUp`
 * @param options width, height of the rows together, title
 * @returns the chart
 * @throws {InputError} when there are no steps, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { buildUp } from "ripieno/orchestrate";
 * import { buildUpChart, chartSvg } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = buildUpChart(buildUp(demoScore(), { fromBar: 17, toBar: 20 }));
 * assertStringIncludes(chartSvg(chart), "+ pad");
 * ```
 */
export function buildUpChart(steps: readonly BuildUpStep[], options: ChartOptions = {}): Chart {
  const { width, height, title } = checkedOptions("build-up chart", options);
  if (!Array.isArray(steps) || steps.length === 0) {
    throw cannotDraw("build-up chart", "there are no steps", "Give what buildUp() returns");
  }
  const rows = steps.map((step, i): StepRow => ({ step, i, before: step.momentum - step.momentumGained }));
  const nameRoom = Math.min(width * 0.3, Math.max(...rows.map((r) => textWidth(nameOf(r), 12))) + 12);
  const left = SIDE + nameRoom;
  const room = width - left - SIDE - GAP;
  const rowHeight = height === undefined ? ROW : Math.max(16, (height - HEAD - FOOT) / rows.length);
  const panel: StepPanel = { rows, height: HEAD + rows.length * rowHeight + FOOT };
  const names = plotBlock({
    ...scaleOf(panel),
    width: left + 1,
    marginLeft: left,
    marks: [rowNames(rows, { y: "i", nameOf, room: nameRoom - 10, size: 12 })],
  });
  const momentum = momentumPanel(panel, room * MOMENTUM_ROOM);
  const lead = leadPanel(panel, room * (1 - MOMENTUM_ROOM));
  const at = ({ element }: FrameBlock, x: number) => h("g", { transform: `translate(${x},0)` }, element);
  return chartFrame({
    name: NAME,
    width,
    title: title ?? buildUpTitle(steps),
    label: `A texture built up: ${
      rows.map((r) => `${nameOf(r)}, momentum ${r.step.momentum.toFixed(1)}, lead audible ${shareOf(r.step)}`)
        .join("; ")
    }`,
    legend: [],
    blocks: [{
      element: h("g", {}, at(names, 0), at(momentum, left), at(lead, left + room * MOMENTUM_ROOM + GAP)),
      height: panel.height,
    }],
  });
}

/** What the panels share. */
interface StepPanel {
  readonly rows: readonly StepRow[];
  readonly height: number;
}

function scaleOf({ rows, height }: StepPanel) {
  return {
    height,
    marginTop: HEAD,
    marginBottom: FOOT,
    y: { type: "band", domain: rows.map((r) => r.i), padding: 0 },
  } as const;
}

function nameOf({ step, i }: StepRow): string {
  return i === 0 ? step.added : `+ ${step.added}`;
}

function shareOf({ audibleShare }: BuildUpStep): string {
  return audibleShare === null ? "–" : percent(audibleShare);
}

function heads(name: string, unit: string): readonly Plot.Markish[] {
  return [
    headWords(name, { dy: 12 - HEAD, size: 12, weight: 600 }),
    headWords(unit, { dy: 26 - HEAD, size: 10, opacity: 0.68 }),
  ];
}

/** Momentum so far, and what is new of it in the colour of its role. */
function momentumPanel(panel: StepPanel, width: number): FrameBlock {
  const { rows } = panel;
  const top = Math.max(0.5, ...rows.map((r) => Math.max(r.before, r.step.momentum)));
  const inset = { insetTop: 5, insetBottom: 5, y: "i" } as const;
  const gained = ({ step: { momentumGained } }: StepRow) =>
    `${momentumGained > -0.05 ? "+" : ""}${figure(momentumGained)}`;
  return plotBlock({
    ...scaleOf(panel),
    label: "Momentum",
    width,
    marginRight: FIGURE_ROOM,
    x: { domain: [0, top] },
    marks: [
      ...heads("Momentum", "driving attacks per second"),
      Plot.barX(rows, {
        ...inset,
        x1: 0,
        x2: (r: StepRow) => Math.min(r.before, r.step.momentum),
        fill: "currentColor",
        fillOpacity: 0.16,
        ...namedMark("so-far"),
      }),
      Plot.barX(rows, {
        ...inset,
        x1: (r: StepRow) => Math.min(r.before, r.step.momentum),
        x2: (r: StepRow) => Math.max(r.before, r.step.momentum),
        fill: (r: StepRow) => roleFill(NAME, r.step.roles[0]!),
        stroke: "currentColor",
        strokeOpacity: 0.4,
        strokeWidth: 0.5,
        title: (r: StepRow) => `${nameOf(r)}: ${gained(r)}, ${r.step.momentum.toFixed(2)} in all`,
        ...namedMark("gained"),
      }),
      Plot.text(rows, {
        x: (r: StepRow) => Math.max(r.before, r.step.momentum),
        y: "i",
        text: (r: StepRow) =>
          r.i === 0 ? r.step.momentum.toFixed(1) : `${r.step.momentum.toFixed(1)} (${gained(r)})`,
        textAnchor: "start",
        dx: 5,
      }),
      Plot.ruleX([0], { strokeOpacity: 0.6 }),
    ],
  });
}

/** How much of the lead is left to the ear. */
function leadPanel(panel: StepPanel, width: number): FrameBlock {
  const known = panel.rows.filter((r) => r.step.audibleShare !== null);
  return plotBlock({
    ...scaleOf(panel),
    label: "Lead heard",
    width,
    marginRight: FIGURE_ROOM / 2,
    x: { domain: [0, 1] },
    marks: [
      ...heads("Lead heard", "share of its loudness"),
      Plot.barX(known, {
        x1: 0,
        x2: (r: StepRow) => r.step.audibleShare!,
        y: "i",
        insetTop: 5,
        insetBottom: 5,
        fill: hue("navy"),
        title: (r: StepRow) => `${nameOf(r)}: lead heard ${shareOf(r.step)}`,
        ...namedMark("heard"),
      }),
      Plot.text(panel.rows, {
        x: (r: StepRow) => r.step.audibleShare ?? 0,
        y: "i",
        text: (r: StepRow) => shareOf(r.step),
        textAnchor: "start",
        dx: 5,
      }),
      Plot.ruleX([0], { strokeOpacity: 0.6 }),
    ],
  });
}
