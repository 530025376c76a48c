/** Findings below a chart along the bars: shape and stretch at their bars, reason and way out in words. */
import type { PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import { barsInWords } from "../drawing/bar_axis.ts";
import type { BarScale } from "../drawing/bar_scale.ts";
import type { BarPanel } from "../drawing/bars_frame.ts";
import { severityShape } from "../drawing/frame.ts";
import { h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth } from "../drawing/text_width.ts";
import { SEVERITY_LOOKS } from "../drawing/theme.ts";
import { counted, sentence } from "../drawing/words.ts";

const MOST_FINDINGS = 10;
const FINDING = 48;
const SIZE = 10.5;

/**
 * The findings, the most serious first, one below the other between two edges; at most ten, the rest is counted. No panel
 * where there are none.
 */
export function findingsPanels(
  findings: readonly PlayabilityFinding[],
  scale: BarScale,
  edges: { readonly left: number; readonly right: number },
): readonly BarPanel[] {
  if (findings.length === 0) return [];
  const shown = findings.slice(0, MOST_FINDINGS);
  const more = findings.length - shown.length;
  const rows = shown.map((finding, i) => findingRow(finding, scale, { ...edges, top: i * FINDING }));
  return [{
    heading: `findings, and ways out${more > 0 ? `; ${more} more are not shown` : ""}`,
    height: shown.length * FINDING + 4,
    domain: [0, 1],
    marks: [],
    over: [h("g", { "aria-label": "findings" }, ...rows)],
  }];
}

function findingRow(
  { severity, rule, what, places, remedy, source, fromBarIndex, toBarIndex }: PlayabilityFinding,
  { axis, xOf }: BarScale,
  { left, right, top }: { readonly left: number; readonly right: number; readonly top: number },
): SVGElement {
  const said = `${severity}, ${rule}: ${what}${places > 1 ? ` (${counted(places, "place")})` : ""}`;
  const bars = barsInWords(axis, fromBarIndex, toBarIndex);
  const title = `${bars}: ${said}. ${sentence(remedy)} Source: ${source}`;
  const lines = [sentence(said), sentence(remedy)].map((line) => fitText(line, SIZE, right - left));
  const longest = Math.max(...lines.map((line) => textWidth(line, SIZE)));
  const x = Math.max(left, Math.min(xOf(fromBarIndex), right - longest));
  return h(
    "g",
    { class: `finding ${severity}`, title },
    h("path", {
      d: `M${xOf(fromBarIndex)} ${top + 9}H${xOf(toBarIndex + 1)}`,
      stroke: SEVERITY_LOOKS[severity].colour,
      "stroke-width": 4,
      "stroke-opacity": 0.35,
    }),
    severityShape(severity, { x: xOf(fromBarIndex) + 7, y: top + 9 }),
    ...lines.map((text, i) =>
      svgText({ text, x, y: top + 25 + i * 14, size: SIZE, opacity: i === 0 ? 1 : 0.7, halo: true })
    ),
  );
}
