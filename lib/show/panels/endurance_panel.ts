/** The lower panel of the rate chart: how long a rate lasts. */
import type { Instrument } from "../../instruments/catalogue.ts";
import { SPEED_CONSTANTS, speedOver } from "../../instruments/rates.ts";
import type { FrameBlock } from "../drawing/frame.ts";
import { deciding, type Way } from "./rate_ways.ts";
import { h, svgText } from "../drawing/svg.ts";
import { fitText, fittingText, textWidth } from "../drawing/text_width.ts";

/** What the panel is drawn from. */
export interface EnduranceInput {
  /** Document to make it in. */
  readonly document: Document;
  /** Instruments of the chart. */
  readonly instruments: readonly Instrument[];
  /** Their techniques. */
  readonly ways: readonly Way[];
  /** Width of the chart in pixels. */
  readonly width: number;
  /** Left edge of the panel in pixels. */
  readonly left: number;
  /** Upper end of the scale, in notes a second. */
  readonly top: number;
  /** A rate to be marked, in notes a second. */
  readonly rate: number | undefined;
  /** Colours of the techniques and of the mark. */
  readonly colours: { readonly hold: string; readonly mark: string };
}

const DURATIONS = [1, 2, 4, 8, 16, 30] as const;
/** Room right of the lines for their names at most, and what of it is left free, in pixels. */
const MOST_NAMES = 236;
const NAMES_GAP = 20;

/**
 * How the limits fall with the length of a passage, one line for each technique.
 *
 * @param input techniques, scale, place
 * @returns the panel
 */
export function endurancePanel(input: EnduranceInput): FrameBlock {
  const { document, width, top, rate, left, colours } = input;
  const head = 26;
  const end = DURATIONS.at(-1) ?? 30;
  const usable = enduranceLines(input);
  const right = Math.min(MOST_NAMES, Math.max(...usable.map((w) => textWidth(w.name, 10.5))) + NAMES_GAP + 4);
  const xOf = (seconds: number) => left + Math.log(seconds) / Math.log(end) * (width - right - left);
  const height = Math.max(150, usable.length * 13);
  const low = Math.max(
    0,
    Math.floor((Math.min(rate ?? Infinity, ...usable.map((w) => w.sustained)) - 1) / 2) * 2,
  );
  const yOf = (v: number) => head + (1 - (v - low) / (top - low)) * height;
  const values = Array.from({ length: Math.floor((top - low) / 2) + 1 }, (_, i) => low + i * 2)
    .filter((_, i, all) => all.length <= 6 || i % 2 === 0);
  const steps = Array.from({ length: 61 }, (_, i) => end ** (i / 60));
  const labels = labelHeights(usable.map((w) => yOf(w.sustained)), head, head + height);
  const curves = usable.flatMap((way, i) => {
    const limit = { burstPerSecond: way.burst, sustainedPerSecond: way.sustained };
    const d = steps.map((s, k) => `${k === 0 ? "M" : "L"}${xOf(s)} ${yOf(speedOver(limit, s))}`).join("");
    const y = labels[i] ?? 0;
    return [
      h(document, "path", {
        d: d,
        fill: "none",
        class: "endurance",
        stroke: colours.hold,
        "stroke-width": 1.8,
        ...(way.conventional ? {} : { "stroke-dasharray": "3 3" }),
      }),
      h(document, "path", {
        d: `M${xOf(end)} ${yOf(way.sustained)}L${xOf(end) + 12} ${y}`,
        fill: "none",
        stroke: "currentColor",
        "stroke-opacity": 0.4,
      }),
      svgText(document, {
        text: fitText(way.name, 10.5, right - NAMES_GAP),
        x: xOf(end) + 16,
        y: y + 4,
        size: 10.5,
        title: way.name,
      }),
    ];
  });
  const { burstSeconds, sustainedFromSeconds } = SPEED_CONSTANTS;
  const heading = fittingText(
    [
      `notes a second against the length of the passage: the burst lasts ${burstSeconds.value} seconds, from ` +
      `${sustainedFromSeconds.value} only the rate that can be kept up is left`,
      "notes a second against the length of the passage",
    ],
    11,
    width - 24,
  );
  let taken = -Infinity;
  const isFree = (seconds: number) => {
    const half = textWidth(`${seconds} s`, 11) / 2;
    if (xOf(seconds) - half < taken) return false;
    taken = xOf(seconds) + half + 4;
    return true;
  };
  const children = [
    svgText(document, { text: heading, x: 12, y: 12, opacity: 0.85 }),
    ...values.flatMap((v) => [
      h(document, "path", {
        d: `M${left} ${yOf(v)}H${xOf(end)}`,
        fill: "none",
        stroke: "currentColor",
        "stroke-opacity": v === low ? 0.6 : 0.12,
      }),
      svgText(document, { text: String(v), x: left - 7, y: yOf(v) + 4, anchor: "end" }),
    ]),
    ...DURATIONS.flatMap((s) => [
      h(document, "path", {
        d: `M${xOf(s)} ${head}V${head + height + 5}`,
        fill: "none",
        stroke: "currentColor",
        "stroke-opacity": 0.14,
      }),
      ...(isFree(s)
        ? [svgText(document, { text: `${s} s`, x: xOf(s), y: head + height + 17, anchor: "middle" })]
        : []),
    ]),
    ...curves,
    ...(rate === undefined ? [] : [
      h(document, "path", {
        d: `M${left} ${yOf(rate)}H${xOf(end)}`,
        fill: "none",
        stroke: colours.mark,
        "stroke-width": 1.6,
        "stroke-dasharray": "6 3",
      }),
    ]),
  ];
  return {
    element: h(
      document,
      "g",
      { "aria-label": "rate against length", transform: "translate(0,14)" },
      ...children,
    ),
    height: head + height + 40,
  };
}

/** What the lower panel shows: of one instrument every technique, of several the ones that decide; like ones as one. */
function enduranceLines({ ways, instruments }: EnduranceInput): readonly (Way & { readonly name: string })[] {
  const alone = instruments.length === 1;
  const shown = alone ? ways : instruments.flatMap((i) => deciding(ways.filter((w) => w.instrument === i)));
  const alike = Map.groupBy(shown, (w) => `${w.sustained} ${w.burst} ${w.conventional}`);
  return [...alike.values()].flatMap((group) => {
    const first = group[0];
    if (first === undefined) return [];
    const names = group.map((w) => alone ? w.technique : w.instrument.id).join(", ");
    return [{ ...first, name: first.conventional ? names : `${names} (advanced)` }];
  });
}

/** Moves labels apart, in the order of their heights. */
function labelHeights(wanted: readonly number[], top: number, bottom: number): readonly number[] {
  const step = Math.min(13, (bottom - top) / Math.max(1, wanted.length));
  const order = wanted.map((_, i) => i).sort((a, b) => (wanted[a] ?? 0) - (wanted[b] ?? 0));
  const result = [...wanted];
  let last = top - step;
  for (const i of order) last = result[i] = Math.max(result[i] ?? 0, last + step);
  let limit = bottom;
  for (const i of order.reverse()) limit = (result[i] = Math.min(result[i] ?? 0, limit)) - step;
  return result;
}
