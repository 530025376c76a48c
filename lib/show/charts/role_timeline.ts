import * as Plot from "@observablehq/plot";
import { joinedFills } from "../joined_fills.ts";
import { namedMark } from "../named_mark.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Score } from "../../score/model.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { axisOfScore, type BarAxis, barsInWords } from "../bar_axis.ts";
import { barsFrame, barsWidth } from "../bars_frame.ts";
import { type ChartOptions, checkedOptions } from "../chart_options.ts";
import { chartDocument } from "../document.ts";
import { roleFill } from "../frame.ts";
import { type Chart, svgElement, svgText } from "../svg.ts";
import { fitText, textWidth } from "../text_width.ts";
import { ROLE_LOOKS } from "../theme.ts";
import { counted } from "../words.ts";

/** Bars in which a part keeps its role: one mark of the chart. */
export interface RoleRun {
  /** Part index. */
  readonly part: number;
  /** Its role. */
  readonly role: Role;
  /** First bar, index from 0. */
  readonly fromBar: number;
  /** Last bar, inclusive. */
  readonly toBar: number;
  /** Figures in it, each once. */
  readonly figures: readonly string[];
}

/**
 * Joins neighbouring bars in which a part keeps its role.
 *
 * @param texture the texture
 * @param parts number of parts
 * @returns runs part by part, silence left out
 */
export function roleRuns(texture: Texture, parts: number): readonly RoleRun[] {
  const byPart: RoleCell[][] = Array.from({ length: parts }, () => []);
  for (const cell of texture.cells) byPart[cell.part]?.push(cell);
  return byPart.flatMap((cells) => {
    const runs: RoleRun[] = [];
    for (const { bar, part, role, figure } of cells) {
      const last = runs.at(-1);
      if (last && last.role === role && last.toBar === bar - 1) {
        const figures = last.figures.includes(figure) ? last.figures : [...last.figures, figure];
        runs[runs.length - 1] = { ...last, toBar: bar, figures };
      } else runs.push({ part, role, fromBar: bar, toBar: bar, figures: [figure] });
    }
    return runs.filter((r) => r.role !== "rest");
  });
}

const NAME = "roles";
const FAMILY_GAP = 0.5;
const LABEL_SIZE = 10;

/**
 * Who does what: one row per part from the top of the score, cells coloured, textured and, where they are wide
 * enough, named by role. Families stand apart; passages are named above; empty cells are silence.
 *
 * @param score the score
 * @param texture what its parts do
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { chartSvg, demoScore, roleTimelineChart, textureOf } from "ripieno";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = roleTimelineChart(demoScore(), textureOf(demoScore()));
 * assertStringIncludes(chartSvg(chart), "Bassoon");
 * ```
 */
export function roleTimelineChart(score: Score, texture: Texture, options: ChartOptions = {}): Chart {
  const { width, height, title = "Who does what" } = checkedOptions("role timeline", options);
  const document = chartDocument();
  const axis = axisOfScore(score);
  const families = score.parts.map((p) => familyOf(p.instrument));
  const tops: number[] = [];
  families.forEach((family, i) => {
    const before = tops.at(-1);
    const gap = i > 0 && family !== families[i - 1] ? FAMILY_GAP : 0;
    tops.push(before === undefined ? 0 : before + 1 + gap);
  });
  const rows = (tops.at(-1) ?? 0) + 1;
  const rowHeight = height === undefined ? (score.parts.length > 16 ? 16 : 24) : height / rows;
  const runs = roleRuns(texture, score.parts.length);
  const roles = ROLE_NAMES.filter((role) => runs.some((r) => r.role === role));
  const longest = Math.max(60, ...score.parts.map((p) => textWidth(p.name, 11) + 14));
  const marginLeft = Math.min(longest, Math.max(70, width * 0.22));
  const pixelsPerBar = barsWidth({ width, marginLeft }) / Math.max(1, score.bars.length);
  const labelled = rowHeight >= 11
    ? runs.filter((r) => textWidth(r.role, LABEL_SIZE) + 8 <= (r.toBar + 1 - r.fromBar) * pixelsPerBar)
    : [];
  const y = (part: number) => tops[part] ?? 0;
  const marks = [
    Plot.ruleY(score.parts.map((_, i) => y(i) + 0.5), { strokeOpacity: 0.13, ...namedMark("rows") }),
    Plot.rect(runs, {
      x1: (r: RoleRun) => r.fromBar,
      x2: (r: RoleRun) => r.toBar + 1,
      y1: (r: RoleRun) => y(r.part) + 0.06,
      y2: (r: RoleRun) => y(r.part) + 0.94,
      insetRight: pixelsPerBar > 3 ? 1 : 0,
      rx: pixelsPerBar > 3 ? 2 : 0,
      fill: (r: RoleRun) => roleFill(NAME, r.role),
      stroke: pixelsPerBar > 3 ? "currentColor" : "none",
      strokeOpacity: 0.35,
      strokeWidth: 0.5,
      title: (r: RoleRun) => runTitle(score, axis, r),
      ...joinedFills("roles"),
    }),
    Plot.text(labelled, {
      x: (r: RoleRun) => r.fromBar,
      y: (r: RoleRun) => y(r.part) + 0.5,
      dx: 4,
      textAnchor: "start",
      text: (r: RoleRun) => r.role,
      fontSize: LABEL_SIZE,
      fill: (r: RoleRun) => ROLE_LOOKS[r.role].ink,
      stroke: (r: RoleRun) => ROLE_LOOKS[r.role].fill,
      strokeWidth: 4,
      pointerEvents: "none",
      ...namedMark("role-names"),
    }),
  ];
  const names = score.parts.map((p, i) =>
    svgText(document, {
      text: fitText(p.name, rowHeight < 13 ? 9 : 11, marginLeft - 14),
      x: marginLeft - 8,
      y: (y(i) + 0.5) * rowHeight + 4,
      size: rowHeight < 13 ? 9 : 11,
      anchor: "end",
      title: p.name,
    })
  );
  return barsFrame(document, {
    name: NAME,
    width,
    title,
    label: `Roles of ${counted(score.parts.length, "part")} in ${counted(score.bars.length, "bar")}: ${
      roles.join(", ")
    }`,
    legend: roles.map((role) => ({ sign: { role }, label: role })),
    axis,
    marginLeft,
    panels: [{
      heading: "",
      height: rows * rowHeight + 2,
      domain: [rows, 0],
      marks,
      over: [svgElement(document, { tag: "g", attributes: { "aria-label": "parts" }, children: names })],
    }],
  });
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
  return `${name}, ${barsInWords(axis, run.fromBar, run.toBar)}: ${run.role} (${shown})`;
}
