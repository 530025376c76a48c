/** Findings below a chart along the bars: shape and stretch at their bars, reason and way out in words. */
import type { PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import { type BarAxis, barsInWords } from "../drawing/bar_axis.ts";
import type { BarPanel } from "../drawing/bars_frame.ts";
import { severityShape } from "../drawing/frame.ts";
import { h, svgText } from "../drawing/svg.ts";
import { fitText, textWidth } from "../drawing/text_width.ts";
import { SEVERITY_LOOKS } from "../drawing/theme.ts";
import { counted, sentence } from "../drawing/words.ts";

/** What the panel is drawn from. */
export interface FindingsInput {
  /** Findings, the most serious first. */
  readonly findings: readonly PlayabilityFinding[];
  /** The bars. */
  readonly axis: BarAxis;
  /** Left edge of a bar in pixels. */
  readonly xOf: (bar: number) => number;
  /** Left edge of the words in pixels. */
  readonly left: number;
  /** Right edge of the words in pixels. */
  readonly right: number;
}

const MOST_FINDINGS = 10;
const FINDING = 48;

/** The findings, one below the other; at most ten, the rest is counted. */
export function findingsPanels(input: FindingsInput): readonly BarPanel[] {
  const { findings, xOf, axis, left, right } = input;
  const shown = findings.slice(0, MOST_FINDINGS);
  if (shown.length === 0) return [];
  const more = findings.length - shown.length;
  const rows = shown.map((f, i) => {
    const top = i * FINDING;
    const colour = SEVERITY_LOOKS[f.severity].colour;
    const what = `${f.severity}, ${f.rule}: ${f.what}${
      f.places > 1 ? ` (${counted(f.places, "place")})` : ""
    }`;
    const lines = [sentence(what), sentence(f.remedy)]
      .map((line) => fitText(line, 10.5, right - left));
    const longest = Math.max(...lines.map((line) => textWidth(line, 10.5)));
    const x = Math.max(left, Math.min(xOf(f.fromBarIndex), right - longest));
    return h(
      "g",
      {
        class: `finding ${f.severity}`,
        title: `${barsInWords(axis, f.fromBarIndex, f.toBarIndex)}: ${what}. ${
          sentence(f.remedy)
        } Source: ${f.source}`,
      },
      h("path", {
        d: `M${xOf(f.fromBarIndex)} ${top + 9}H${xOf(f.toBarIndex + 1)}`,
        stroke: colour,
        "stroke-width": 4,
        "stroke-opacity": 0.35,
      }),
      severityShape(f.severity, { x: xOf(f.fromBarIndex) + 7, y: top + 9 }),
      ...lines.map((text, line) =>
        svgText({
          text,
          x,
          y: top + 25 + line * 14,
          size: 10.5,
          opacity: line === 0 ? 1 : 0.7,
          halo: true,
        })
      ),
    );
  });
  return [{
    heading: `findings, and ways out${more > 0 ? `; ${more} more are not shown` : ""}`,
    height: shown.length * FINDING + 4,
    domain: [0, 1],
    marks: [],
    over: [h("g", { "aria-label": "findings" }, ...rows)],
  }];
}
