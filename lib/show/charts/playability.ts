import { A_PLAYABILITY, A_SCORE, checkArgument } from "../../base/arguments.ts";
import * as Plot from "@observablehq/plot";
import { namedMark } from "../drawing/named_mark.ts";
import type { Playability, PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import type { Score } from "../../score/model.ts";
import { axisOfScore, barsInWords } from "../drawing/bar_axis.ts";
import { barsFrame, barsWidth } from "../drawing/bars_frame.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { severityShape } from "../drawing/frame.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth } from "../drawing/text_width.ts";
import { SEVERITIES, severityColour } from "../drawing/theme.ts";
import { counted } from "../drawing/words.ts";

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
  const { width, height, title = "Where players will stumble" } = checkedOptions(
    "playability chart",
    options,
  );
  const axis = axisOfScore(score);
  const parts = score.parts.flatMap((p, part) =>
    playability.findings.some((f) => f.part === part) ? [{ part, name: p.name }] : []
  );
  const rowOf = new Map(parts.map((p, row) => [p.part, row]));
  const rowHeight = height === undefined ? ROW : height / Math.max(1, parts.length);
  const longest = Math.max(60, ...parts.map((p) => textWidth(p.name, 11) + 14));
  const marginLeft = Math.min(longest, Math.max(70, width * 0.26));
  const pixelsPerBar = barsWidth({ width, marginLeft }) / Math.max(1, score.bars.length);
  const xOf = (bar: number) => marginLeft + bar * pixelsPerBar;
  const yOf = (f: PlayabilityFinding) => ((rowOf.get(f.part) ?? 0) + 0.5) * rowHeight + 1;
  const placed = placeOf(playability.findings, score, xOf);
  const worstLast = [...placed].reverse();
  const shapes = worstLast.map(({ finding, x }) =>
    h("g", {
      class: `finding ${finding.severity}`,
      title:
        `${finding.partName}, ${
          barsInWords(axis, finding.fromBarIndex, finding.toBarIndex)
        }: ${finding.severity}: ` +
        `${finding.what}. ${finding.remedy}`,
    }, severityShape(finding.severity, { x, y: yOf(finding) }))
  );
  const words = wordsOf(placed, width).map(({ finding, x, text }) =>
    svgText({ text, x: x + 9, y: yOf(finding) + 3.5, size: 10, halo: true })
  );
  const names = parts.map((p, row) =>
    svgText({
      text: fitText(p.name, 11, marginLeft - 14),
      x: marginLeft - 8,
      y: (row + 0.5) * rowHeight + 5,
      anchor: "end",
      title: p.name,
    })
  );
  const clear = score.parts.length - parts.length;
  const note = parts.length === 0
    ? `No finding in ${counted(score.parts.length, "part")}.`
    : clear === 0
    ? ""
    : `${clear} of ${counted(score.parts.length, "part")} without a finding ${
      clear === 1 ? "is" : "are"
    } left out.`;
  return barsFrame({
    name: NAME,
    width,
    title,
    note,
    label: `Playability findings: ${SEVERITIES.map((s) => `${playability.whole[s]} ${s}`).join(", ")}`,
    legend: SEVERITIES.filter((s) => playability.findings.some((f) => f.severity === s)).map((severity) => ({
      sign: { severity },
      label: severity,
    })),
    axis,
    marginLeft,
    panels: [{
      heading: "",
      height: Math.max(1, parts.length) * rowHeight + 2,
      domain: [Math.max(1, parts.length), 0],
      marks: [
        Plot.ruleY(parts.map((_, row) => row + 0.5), { strokeOpacity: 0.13, ...namedMark("rows") }),
        Plot.ruleY(playability.findings.filter((f) => f.toBarIndex > f.fromBarIndex), {
          x1: (f: PlayabilityFinding) => f.fromBarIndex,
          x2: (f: PlayabilityFinding) => f.toBarIndex + 1,
          y: (f: PlayabilityFinding) => (rowOf.get(f.part) ?? 0) + 0.5,
          stroke: (f: PlayabilityFinding) => severityColour(f.severity),
          strokeWidth: 5,
          strokeOpacity: 0.3,
          ...namedMark("stretches"),
        }),
      ],
      over: [
        h("g", { "aria-label": "rules" }, ...words),
        h("g", { "aria-label": "findings" }, ...shapes),
        h("g", { "aria-label": "parts", "data-width": marginLeft }, ...names),
      ],
    }],
  });
}

/** A finding and where its shape stands. */
interface PlacedFinding {
  readonly finding: PlayabilityFinding;
  readonly x: number;
}

/** Shapes stand at the beat of the first place; those of one part that fall together move aside. */
function placeOf(
  findings: readonly PlayabilityFinding[],
  score: Score,
  xOf: (bar: number) => number,
): readonly PlacedFinding[] {
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

/** The rules that fit between a shape and the next one of the same part. */
function wordsOf(
  placed: readonly PlacedFinding[],
  width: number,
): readonly (PlacedFinding & { readonly text: string })[] {
  return placed.flatMap((one) => {
    const next = placed
      .filter((o) => o.finding.part === one.finding.part && o.x > one.x)
      .reduce((nearest, o) => Math.min(nearest, o.x), width - 4);
    const { rule, places } = one.finding;
    const full = places > 1 ? `${rule} (${places} places)` : rule;
    const room = next - one.x - 16;
    const text = [full, rule].find((t) => textWidth(t, 10) <= room);
    return text === undefined ? [] : [{ ...one, text }];
  });
}
