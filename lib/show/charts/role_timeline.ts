import { A_NUMBER, A_SCORE, A_TEXT, A_TEXTURE, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import { namedMark } from "../drawing/named_mark.ts";
import { instrumentOf } from "../../instruments/instrument_of.ts";
import type { Score } from "../../score/model.ts";
import { partsToldApart, toldApart } from "../../score/told_apart.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { roleInWords } from "../../texture/role_in_words.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { axisOfScore, type BarAxis, barsInWords } from "../drawing/bar_axis.ts";
import { barBoxes } from "../drawing/bar_marks.ts";
import { barRows, type BarRowsOptions, rowsBlocks } from "../panels/bar_rows.ts";
import { type BarScale, barScale } from "../drawing/bar_scale.ts";
import { barsBlocks } from "../drawing/bars_frame.ts";
import { checkedOptions } from "../drawing/chart_options.ts";
import { chartFrame, type FrameBlock, roleFill } from "../drawing/frame.ts";
import { type BarSpan, runsOf } from "../drawing/spans.ts";
import { type Chart, h } from "../drawing/svg.ts";
import { textWidth } from "../drawing/text_width.ts";
import { namesMargin, partNames } from "../panels/part_names.ts";
import { roleColour, roleInk } from "../drawing/theme.ts";
import { counted } from "../drawing/words.ts";
import { rolesTitle } from "../titles/texture_titles.ts";

/** Bars in which a part keeps its role: one mark of the chart. */
interface RoleRun extends BarSpan {
  readonly part: number;
  readonly role: Role;
  /** Figures in it, each once. */
  readonly figures: readonly RoleCell["figure"][];
}

/** Joins neighbouring bars in which a part keeps its role, part by part, silence left out. */
function roleRuns(texture: Texture): readonly RoleRun[] {
  const byPart = Map.groupBy(texture.cells, (cell) => cell.part);
  return [...byPart].sort(([a], [b]) => a - b).flatMap(([part, cells]) =>
    runsOf(cells, (a, b) => a.role === b.role).filter((run) => run.role !== "rest")
      .map(({ role, fromBarIndex, toBarIndex, rows }) => {
        const figures = [...new Set(rows.map((cell) => cell.figure))];
        return { part, role, fromBarIndex, toBarIndex, figures };
      })
  );
}

/** Options of {@linkcode roleTimelineChart}. */
export interface RoleTimelineOptions extends BarRowsOptions {
  /** Beginning of the id that every bar gets, followed by its index, so that a page can lead to it. By default none. */
  readonly barIds?: string;
}

const NAME = "roles";
const FAMILY_GAP = 0.5;
const LABEL_SIZE = 10;
/** Pixels a bar has at least before the bars are broken into rows. */
const BAR_PIXELS = 4;

/** How the parts stand below each other. */
interface PartRows {
  /** Top of each part, in rows. */
  readonly tops: readonly number[];
  /** Rows in all, gaps between families counted. */
  readonly count: number;
  /** Height of a row in pixels. */
  readonly height: number;
}

interface Systems {
  readonly score: Score;
  readonly runs: readonly RoleRun[];
  readonly rows: PartRows;
  readonly width: number;
  readonly marginLeft: number;
  readonly barIds: string | undefined;
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
  const { width, height, title } = checkedOptions("role timeline", options, {
    fromBarIndex: A_NUMBER,
    toBarIndex: A_NUMBER,
    rows: undefined,
    barIds: A_TEXT,
  });
  const marginLeft = namesMargin(partsToldApart(score.parts).map((p) => p.name), width);
  const spans = barRows(score, {
    chart: "role timeline",
    options,
    pixels: width - marginLeft,
    barPixels: BAR_PIXELS,
  });
  const [fromBarIndex, toBarIndex] = [spans[0]!.fromBarIndex, spans.at(-1)!.toBarIndex];
  const bars = toBarIndex + 1 - fromBarIndex;
  const rows = rowsOf(score, { height, systems: spans.length });
  const runs = roleRuns(texture).filter((r) => r.toBarIndex >= fromBarIndex && r.fromBarIndex <= toBarIndex);
  const roles = ROLE_NAMES.filter((role) => runs.some((r) => r.role === role));
  const systems: Systems = { score: toldApart(score), runs, rows, width, marginLeft, barIds: options.barIds };
  return chartFrame({
    name: NAME,
    width,
    title: title ?? rolesTitle(runs, systems.score.parts.map((p) => p.name), { fromBarIndex, toBarIndex }),
    label: `Roles of ${counted(score.parts.length, "part")} in ${counted(bars, "bar")}: ${roles.join(", ")}`,
    legend: roles.map((role) => [role, roleInWords(role, texture.cells, score)] as const),
    blocks: rowsBlocks(spans, (span) => systemBlocks(systems, span)),
  });
}

function rowsOf(
  score: Score,
  { height, systems }: { readonly height: number | undefined; readonly systems: number },
): PartRows {
  const families = score.parts.map((p) => instrumentOf(p.instrument)?.family);
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

function systemBlocks(systems: Systems, span: BarSpan): readonly FrameBlock[] {
  const { score, runs: all, rows, width, marginLeft, barIds } = systems;
  const scale = barScale(axisOfScore(score, span), { width, marginLeft });
  const runs = all.filter((r) => r.toBarIndex >= span.fromBarIndex && r.fromBarIndex <= span.toBarIndex)
    .map((r) => ({
      ...r,
      fromBarIndex: Math.max(span.fromBarIndex, r.fromBarIndex),
      toBarIndex: Math.min(span.toBarIndex, r.toBarIndex),
    }));
  const height = rows.count * rows.height + 2;
  const names = partNames(score.parts.map((p) => p.name), {
    marginLeft,
    yOf: (row) => (rows.tops[row]! + 0.5) * rows.height + 4,
    size: rows.height < 13 ? 9 : 11,
  });
  return barsBlocks(scale, [{
    heading: "",
    height,
    domain: [rows.count, 0],
    marks: roleMarks(runs, systems, scale),
    over: [names, ...(barIds === undefined ? [] : barPlaces(barIds, scale, height))],
  }]);
}

/** Lines for the parts, a box for each run, and its role in words where there is room. */
function roleMarks(
  runs: readonly RoleRun[],
  { score, rows }: Systems,
  { axis, pixelsPerBar }: BarScale,
): readonly Plot.Markish[] {
  const top = (r: RoleRun) => rows.tops[r.part] ?? 0;
  const isNamed = (run: RoleRun) =>
    textWidth(runRole(score, run), LABEL_SIZE) <= (run.toBarIndex + 1 - run.fromBarIndex) * pixelsPerBar - 8;
  const isWide = pixelsPerBar > 3;
  return [
    Plot.ruleY(rows.tops.map((top) => top + 0.5), { strokeOpacity: 0.13, ...namedMark("rows") }),
    barBoxes("roles", runs, {
      y1: (r) => top(r) + 0.06,
      y2: (r) => top(r) + 0.94,
      insetRight: isWide ? 1 : 0,
      rx: isWide ? 2 : 0,
      fill: (r) => roleFill(NAME, r.role),
      stroke: isWide ? "currentColor" : "none",
      strokeOpacity: 0.35,
      strokeWidth: 0.5,
      title: (r) => runTitle(score, axis, r),
      joined: true,
    }),
    Plot.text(rows.height >= 11 ? runs.filter(isNamed) : [], {
      x: "fromBarIndex",
      y: (r: RoleRun) => top(r) + 0.5,
      dx: 4,
      textAnchor: "start",
      text: (r: RoleRun) => runRole(score, r),
      fontSize: LABEL_SIZE,
      fill: (r: RoleRun) => roleInk(r.role),
      stroke: (r: RoleRun) => roleColour(r.role),
      strokeWidth: 4,
      pointerEvents: "none",
      ...namedMark("role-names"),
    }),
  ];
}

/** Invisible boxes over the bars, that a page leads to. */
function barPlaces(
  ids: string,
  { axis, pixelsPerBar, marginLeft }: BarScale,
  height: number,
): readonly SVGElement[] {
  return axis.numbers.map((_, i) =>
    h("rect", {
      id: `${ids}${axis.fromBarIndex + i}`,
      class: "bar-place",
      x: marginLeft + i * pixelsPerBar,
      y: 0,
      width: pixelsPerBar,
      height,
      fill: "none",
      "pointer-events": "none",
    })
  );
}

function runTitle(score: Score, axis: BarAxis, run: RoleRun): string {
  const name = score.parts[run.part]?.name ?? "";
  const shown = run.figures.length > 3
    ? `${run.figures.slice(0, 3).join(", ")} and ${run.figures.length - 3} more`
    : run.figures.join(", ");
  return `${name}, ${barsInWords(axis, run.fromBarIndex, run.toBarIndex)}: ${runRole(score, run)} (${shown})`;
}

/** The role of a run in words: a tremolo is none of the trills. */
function runRole(score: Score, { role, figures, part }: RoleRun): string {
  return roleInWords(role, figures.map((figure) => ({ role, figure, part })), score);
}
