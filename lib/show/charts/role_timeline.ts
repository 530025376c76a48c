import { A_NUMBER, A_SCORE, A_TEXT, A_TEXTURE, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import { joinedFills } from "../drawing/joined_fills.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { InputError } from "../../base/errors.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Score } from "../../score/model.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { axisOfScore, type BarAxis, barsInWords } from "../drawing/bar_axis.ts";
import { barsBlocks, type BarsBlocksInput, barsWidth } from "../drawing/bars_frame.ts";
import { type AskedBars, checkedSpan } from "../drawing/checked_span.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartFrame, type FrameBlock, roleFill } from "../drawing/frame.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth } from "../drawing/text_width.ts";
import { roleColour, roleInk } from "../drawing/theme.ts";
import { counted } from "../drawing/words.ts";

/** Bars in which a part keeps its role: one mark of the chart. */
export interface RoleRun {
  /** Part index. */
  readonly part: number;
  /** Its role. */
  readonly role: Role;
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
  /** Figures in it, each once. */
  readonly figures: readonly string[];
}

/** Joins neighbouring bars in which a part keeps its role, part by part, silence left out. */
export function roleRuns(texture: Texture, parts: number): readonly RoleRun[] {
  const byPart: RoleCell[][] = Array.from({ length: parts }, () => []);
  for (const cell of texture.cells) byPart[cell.part]?.push(cell);
  return byPart.flatMap((cells) => {
    const runs: RoleRun[] = [];
    for (const { barIndex, part, role, figure } of cells) {
      const last = runs.at(-1);
      if (last && last.role === role && last.toBarIndex === barIndex - 1) {
        const figures = last.figures.includes(figure) ? last.figures : [...last.figures, figure];
        runs[runs.length - 1] = { ...last, toBarIndex: barIndex, figures };
      } else runs.push({ part, role, fromBarIndex: barIndex, toBarIndex: barIndex, figures: [figure] });
    }
    return runs.filter((r) => r.role !== "rest");
  });
}

/** Options of {@linkcode roleTimelineChart}. */
export interface RoleTimelineOptions extends ChartOptions {
  /** First bar shown, index from 0. Default 0. */
  readonly fromBarIndex?: number;
  /** Last bar shown, inclusive. By default the last of the score. */
  readonly toBarIndex?: number;
  /**
   * Into how many rows the bars are broken, one below the other like systems of a score, 1 to 50. By default so many
   * that every bar has four pixels.
   */
  readonly rows?: number;
  /** Beginning of the id that every bar gets, followed by its index, so that a page can lead to it. By default none. */
  readonly barIds?: string;
}

const NAME = "roles";
const FAMILY_GAP = 0.5;
const LABEL_SIZE = 10;
/** Pixels a bar has at least before the bars are broken into rows. */
const BAR_PIXELS = 4;
/** Pixels between a row of bars and the next. */
const ROW_GAP = 14;

/** How the parts stand below each other. */
interface PartRows {
  /** Top of each part, in rows. */
  readonly tops: readonly number[];
  /** Rows in all, gaps between families counted. */
  readonly count: number;
  /** Height of a row in pixels. */
  readonly height: number;
}

/**
 * Who does what: one row per part from the top of the score, cells coloured, textured and, where they are wide
 * enough, named by role. Families stand apart; passages are named above; empty cells
 * are silence. A long score is broken into rows of bars, like systems.
 *
 * @param score the score
 * @param texture what its parts do
 * @param options bars shown, rows, width, height, title
 * @returns the chart
 * @throws {InputError} when the bars are not in the score, or an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore, textureOf } from "ripieno";
 * import { chartSvg, roleTimelineChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = roleTimelineChart(demoScore(), textureOf(demoScore()));
 * assertStringIncludes(chartSvg(chart), "Bassoon");
 * ```
 */
export function roleTimelineChart(score: Score, texture: Texture, options: RoleTimelineOptions = {}): Chart {
  checkArgument("draw the role timeline", score, A_SCORE);
  checkArgument("draw the role timeline", texture, A_TEXTURE);
  const { width, height, title = "Who does what", fromBarIndex = 0 } = checkedOptions(
    "role timeline",
    options,
    {
      fromBarIndex: A_NUMBER,
      toBarIndex: A_NUMBER,
      rows: undefined,
      barIds: A_TEXT,
    },
  );
  const toBarIndex = options.toBarIndex ?? score.bars.length - 1;
  if (score.bars.length > 0) checkedSpan(score, { chart: "role timeline", fromBarIndex, toBarIndex });
  const longest = Math.max(60, ...score.parts.map((p) => textWidth(p.name, 11) + 14));
  const marginLeft = Math.min(longest, Math.max(70, width * 0.26));
  const spans = brokenInto(
    checkedRows(options.rows) ?? usualRows(toBarIndex + 1 - fromBarIndex, width - marginLeft),
    {
      fromBarIndex,
      toBarIndex,
    },
  );
  const rows = rowsOf(score, { height, systems: spans.length });
  const runs = roleRuns(texture, score.parts.length).filter((r) =>
    r.toBarIndex >= fromBarIndex && r.fromBarIndex <= toBarIndex
  );
  const roles = ROLE_NAMES.filter((role) => runs.some((r) => r.role === role));
  const drawing = { width, marginLeft, rows, barIds: options.barIds };
  const blocks = spans.flatMap((span, i) => [
    ...(i === 0 ? [] : [gap()]),
    ...barsBlocks(systemOf(score, { ...drawing, span, runs })),
  ]);
  return chartFrame({
    name: NAME,
    width,
    title,
    label: `Roles of ${counted(score.parts.length, "part")} in ${
      counted(toBarIndex + 1 - fromBarIndex, "bar")
    }: ${roles.join(", ")}`,
    legend: roles.map((role) => ({ sign: { role }, label: role })),
    blocks,
  });
}

/** So many rows that each bar has its pixels, but none where they all have. */
function usualRows(bars: number, pixels: number): number {
  return Math.max(1, Math.ceil(bars * BAR_PIXELS / Math.max(1, pixels)));
}

function checkedRows(rows: number | undefined): number | undefined {
  if (rows === undefined || (Number.isInteger(rows) && rows >= 1 && rows <= 50)) return rows;
  throw new InputError({
    action: "draw the role timeline",
    problem: `rows is ${String(rows)}`,
    remedy: "Give a whole number from 1 to 50",
  });
}

/** Spans that differ by one bar at most, so that all rows have one scale to the eye. */
function brokenInto(rows: number, { fromBarIndex, toBarIndex }: AskedBars): readonly AskedBars[] {
  const bars = toBarIndex + 1 - fromBarIndex;
  const count = Math.max(1, Math.min(rows, bars));
  const start = (row: number) => fromBarIndex + Math.round(row * bars / count);
  return Array.from(
    { length: count },
    (_, row) => ({ fromBarIndex: start(row), toBarIndex: start(row + 1) - 1 }),
  );
}

function rowsOf(
  score: Score,
  { height, systems }: { readonly height: number | undefined; readonly systems: number },
): PartRows {
  const families = score.parts.map((p) => familyOf(p.instrument));
  const tops: number[] = [];
  families.forEach((family, i) => {
    const before = tops.at(-1);
    const space = i > 0 && family !== families[i - 1] ? FAMILY_GAP : 0;
    tops.push(before === undefined ? 0 : before + 1 + space);
  });
  const count = (tops.at(-1) ?? 0) + 1;
  const usual = systems > 1 ? 14 : score.parts.length > 16 ? 16 : 24;
  return { tops, count, height: height === undefined ? usual : height / count / systems };
}

function gap(): FrameBlock {
  return { element: h("g", {}), height: ROW_GAP };
}

/** One row of bars: all parts in some bars. */
function systemOf(score: Score, { width, marginLeft, rows, span, runs: all, barIds }: {
  readonly width: number;
  readonly marginLeft: number;
  readonly rows: PartRows;
  readonly span: AskedBars;
  readonly runs: readonly RoleRun[];
  readonly barIds: string | undefined;
}): BarsBlocksInput {
  const { fromBarIndex, toBarIndex } = span;
  const axis = axisOfScore(score, span);
  const runs = all.filter((r) => r.toBarIndex >= fromBarIndex && r.fromBarIndex <= toBarIndex);
  const left = (r: RoleRun) => Math.max(fromBarIndex, r.fromBarIndex);
  const right = (r: RoleRun) => Math.min(toBarIndex, r.toBarIndex) + 1;
  const pixelsPerBar = barsWidth({ width, marginLeft }) / Math.max(1, toBarIndex + 1 - fromBarIndex);
  const label = (r: RoleRun) => {
    const room = (right(r) - left(r)) * pixelsPerBar - 8;
    return textWidth(r.role, LABEL_SIZE) <= room ? r.role : "";
  };
  const y = (part: number) => rows.tops[part] ?? 0;
  const marks = [
    Plot.ruleY(score.parts.map((_, i) => y(i) + 0.5), { strokeOpacity: 0.13, ...namedMark("rows") }),
    Plot.rect(runs, {
      x1: left,
      x2: right,
      y1: (r: RoleRun) => y(r.part) + 0.06,
      y2: (r: RoleRun) => y(r.part) + 0.94,
      insetRight: pixelsPerBar > 3 ? 1 : 0,
      rx: pixelsPerBar > 3 ? 2 : 0,
      fill: (r: RoleRun) => roleFill(NAME, r.role),
      stroke: pixelsPerBar > 3 ? "currentColor" : "none",
      strokeOpacity: 0.35,
      strokeWidth: 0.5,
      title: (r: RoleRun) => runTitle(score, axis, { ...r, fromBarIndex: left(r), toBarIndex: right(r) - 1 }),
      ...joinedFills("roles"),
    }),
    Plot.text(rows.height >= 11 ? runs.filter((r) => label(r) !== "") : [], {
      x: left,
      y: (r: RoleRun) => y(r.part) + 0.5,
      dx: 4,
      textAnchor: "start",
      text: label,
      fontSize: LABEL_SIZE,
      fill: (r: RoleRun) => roleInk(r.role),
      stroke: (r: RoleRun) => roleColour(r.role),
      strokeWidth: 4,
      pointerEvents: "none",
      ...namedMark("role-names"),
    }),
  ];
  const size = rows.height < 13 ? 9 : 11;
  const names = score.parts.map((p, i) =>
    svgText({
      text: fitText(p.name, size, marginLeft - 14),
      x: marginLeft - 8,
      y: (y(i) + 0.5) * rows.height + 4,
      size,
      anchor: "end",
      title: p.name,
    })
  );
  const panelHeight = rows.count * rows.height + 2;
  const places = barIds === undefined
    ? []
    : Array.from({ length: toBarIndex + 1 - fromBarIndex }, (_, i) =>
      h("rect", {
        id: `${barIds}${fromBarIndex + i}`,
        class: "bar-place",
        x: marginLeft + i * pixelsPerBar,
        y: 0,
        width: pixelsPerBar,
        height: panelHeight,
        fill: "none",
        "pointer-events": "none",
      }));
  return {
    width,
    axis,
    marginLeft,
    panels: [{
      heading: "",
      height: panelHeight,
      domain: [rows.count, 0],
      marks,
      over: [h("g", { "aria-label": "parts", "data-width": marginLeft }, ...names), ...places],
    }],
  };
}

function familyOf(instrument: string): string {
  try {
    return instrumentById(instrument).family;
  } catch {
    return "";
  }
}

function runTitle(score: Score, axis: BarAxis, run: RoleRun): string {
  const name = score.parts[run.part]?.name ?? "";
  const shown = run.figures.length > 3
    ? `${run.figures.slice(0, 3).join(", ")} and ${run.figures.length - 3} more`
    : run.figures.join(", ");
  return `${name}, ${barsInWords(axis, run.fromBarIndex, run.toBarIndex)}: ${run.role} (${shown})`;
}
