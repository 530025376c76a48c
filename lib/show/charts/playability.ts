import { leastOf } from "../../base/extremes.ts";
import { A_PLAYABILITY, A_SCORE, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import { namedMark } from "../drawing/named_mark.ts";
import type { Playability, PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import type { Score } from "../../score/model.ts";
import { partsToldApart } from "../../score/told_apart.ts";
import { axisOfScore, type BarAxis, barsInWords } from "../drawing/bar_axis.ts";
import { type BarScale, barScale } from "../drawing/bar_scale.ts";
import { barsFrame } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { severityShape } from "../drawing/frame.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { namesMargin, partNames } from "../panels/part_names.ts";
import { textWidth } from "../drawing/text_width.ts";
import { SEVERITIES, severityColour } from "../drawing/theme.ts";
import { counted } from "../drawing/words.ts";
import { playabilityTitle } from "../titles/craft_titles.ts";

const NAME = "playability";
const ROW = 22;

/**
 * Where players will stumble: one row per part that has findings, a shape and a colour per severity, a line as far as
 * the passage reaches, and the rule in words where there is room.
 *
 * @param playability the measure
 * @param score the score
 * @param options width, height, title
 * @returns the chart
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore, playability } from "ripieno";
 * import { chartSvg, playabilityChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = playabilityChart(playability(demoScore()), demoScore());
 * assertStringIncludes(chartSvg(chart), "find");
 * ```
 */
export function playabilityChart(
  playability: Playability,
  score: Score,
  options: ChartOptions = {},
): Chart {
  checkArgument("draw the playability chart", playability, A_PLAYABILITY);
  checkArgument("draw the playability chart", score, A_SCORE);
  const { width, height, title } = checkedOptions(
    "playability chart",
    options,
  );
  const parts = partsToldApart(score.parts).flatMap(({ name }, part) =>
    playability.findings.some((f) => f.part === part) ? [{ part, name }] : []
  );
  const names = parts.map((p) => p.name);
  const scale = barScale(axisOfScore(score), { width, marginLeft: namesMargin(names, width) });
  const rowHeight = height === undefined ? ROW : height / Math.max(1, parts.length);
  const middleOf = (f: PlayabilityFinding) => parts.findIndex((p) => p.part === f.part) + 0.5;
  const placed = placeOf(playability.findings, score, scale)
    .map((p) => ({ ...p, y: middleOf(p.finding) * rowHeight + 1 }));
  return barsFrame({
    name: NAME,
    scale,
    title: title ?? playabilityTitle(playability.findings),
    note: noteOf(score.parts.length, parts.length),
    label: `Playability findings: ${SEVERITIES.map((s) => `${playability.whole[s]} ${s}`).join(", ")}`,
    legend: SEVERITIES.filter((s) => playability.findings.some((f) => f.severity === s))
      .map((severity) => [severity, severity] as const),
    panels: [{
      heading: "",
      height: Math.max(1, parts.length) * rowHeight + 2,
      domain: [Math.max(1, parts.length), 0],
      marks: [
        Plot.ruleY(parts.map((_, row) => row + 0.5), { strokeOpacity: 0.13, ...namedMark("rows") }),
        Plot.ruleY(playability.findings.filter((f) => f.toBarIndex > f.fromBarIndex), {
          x1: (f: PlayabilityFinding) => f.fromBarIndex,
          x2: (f: PlayabilityFinding) => f.toBarIndex + 1,
          y: middleOf,
          stroke: (f: PlayabilityFinding) => severityColour(f.severity),
          strokeWidth: 5,
          strokeOpacity: 0.3,
          ...namedMark("stretches"),
        }),
      ],
      over: [
        ruleWords(placed, width),
        findingShapes(placed, scale.axis),
        partNames(names, { marginLeft: scale.marginLeft, yOf: (row) => (row + 0.5) * rowHeight + 5 }),
      ],
    }],
  });
}

function noteOf(parts: number, withFindings: number): string {
  const clear = parts - withFindings;
  if (withFindings === 0) return `No finding in ${counted(parts, "part")}.`;
  if (clear === 0) return "";
  return `${clear} of ${counted(parts, "part")} without a finding ${clear === 1 ? "is" : "are"} left out.`;
}

interface PlacedFinding {
  readonly finding: PlayabilityFinding;
  readonly x: number;
  readonly y: number;
}

/** Shapes stand at the beat of the first place; those of one part that fall together move aside. */
function placeOf(
  findings: readonly PlayabilityFinding[],
  score: Score,
  { xOf }: BarScale,
): readonly Pick<PlacedFinding, "finding" | "x">[] {
  const taken = new Map<number, number[]>();
  return findings.map((finding) => {
    const beats = score.bars[finding.fromBarIndex]?.beats ?? 4;
    let x = xOf(finding.fromBarIndex + Math.min(0.95, Math.max(0, (finding.beat - 1) / beats))) + 5;
    const others = taken.get(finding.part) ?? [];
    while (others.some((o) => Math.abs(o - x) < 10)) x += 3;
    taken.set(finding.part, [...others, x]);
    return { finding, x };
  });
}

/** The shapes of findings, the worst on top. */
function findingShapes(placed: readonly PlacedFinding[], axis: BarAxis): SVGElement {
  const shapes = placed.toReversed().map(({ finding, x, y }) => {
    const { severity, partName, what, remedy, fromBarIndex, toBarIndex } = finding;
    const bars = barsInWords(axis, fromBarIndex, toBarIndex);
    const title = `${partName}, ${bars}: ${severity}: ${what}. ${remedy}`;
    return h("g", { class: `finding ${severity}`, title }, severityShape(severity, { x, y }));
  });
  return h("g", { "aria-label": "findings" }, ...shapes);
}

/** The rules in words, where they fit between a shape and the next one of the same part. */
function ruleWords(placed: readonly PlacedFinding[], width: number): SVGElement {
  const words = placed.flatMap(({ finding: { part, rule, places }, x, y }) => {
    const others = placed.filter((o) => o.finding.part === part && o.x > x);
    const room = leastOf(others.map((o) => o.x), width - 4) - x - 16;
    const full = places > 1 ? `${rule} (${places} places)` : rule;
    const text = [full, rule].find((t) => textWidth(t, 10) <= room);
    return text === undefined ? [] : [svgText({ text, x: x + 9, y: y + 3.5, size: 10, halo: true })];
  });
  return h("g", { "aria-label": "rules" }, ...words);
}
