/** The lower panel of the rate chart: how long a rate lasts. */
import * as Plot from "@observablehq/plot";
import type { Instrument } from "../../instruments/catalogue.ts";
import { SPEED_CONSTANTS, speedOver } from "../../instruments/rates.ts";
import type { FrameBlock } from "../drawing/frame.ts";
import { deciding, type Way } from "./rate_ways.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { plotBlock } from "../drawing/plot_block.ts";
import { headWords } from "../drawing/plot_texts.ts";
import { fitText, fittingText, textWidth } from "../drawing/text_width.ts";
import { valueAxis } from "../drawing/value_axis.ts";

/** What the panel is drawn from. */
export interface EnduranceInput {
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

const DURATIONS: readonly number[] = [1, 2, 4, 8, 16, 30];
const END = 30;
const HEAD = 40;
/** Room right of the lines for their names at most, and what of it is left free, in pixels. */
const MOST_NAMES = 236;
const NAMES_GAP = 20;

/** How the limits fall with the length of a passage, one line for each technique. */
export function endurancePanel(input: EnduranceInput): FrameBlock {
  const { width, top, rate, left, colours } = input;
  const usable = enduranceLines(input);
  const right = Math.min(MOST_NAMES, Math.max(...usable.map((w) => textWidth(w.name, 10.5))) + NAMES_GAP + 4);
  const room = width - right - left;
  const height = Math.max(150, usable.length * 13);
  const low = Math.max(
    0,
    Math.floor((Math.min(rate ?? Infinity, ...usable.map((w) => w.sustained)) - 1) / 2) * 2,
  );
  const steps = Array.from({ length: 61 }, (_, i) => END ** (i / 60));
  const wanted = usable.map((w) => (top - w.sustained) / (top - low) * height);
  const labels = labelHeights(wanted, 0, height);
  const names = usable.map((way, i) => ({ ...way, label: top - labels[i]! / height * (top - low) }));
  type Name = typeof names[number];
  const curves = names.map((way) =>
    Plot.line(steps, {
      x: Plot.identity,
      y: (s: number) => speedOver({ burstPerSecond: way.burst, sustainedPerSecond: way.sustained }, s),
      stroke: colours.hold,
      strokeWidth: 1.8,
      strokeLinecap: "butt",
      strokeDasharray: way.conventional ? "none" : "3 3",
      ...namedMark("endurance"),
    })
  );
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
  return plotBlock({
    label: "rate against length",
    width,
    height: HEAD + height + 26,
    marginLeft: left,
    marginRight: right,
    marginTop: HEAD,
    marginBottom: 26,
    x: { type: "log", domain: [1, END] },
    y: { domain: [low, top] },
    marks: [
      headWords(heading, { dx: 12 - left, dy: -14, opacity: 0.85 }),
      ...valueAxis({ bottom: low, top, height: 1.5 * height }),
      Plot.ruleY([low], { strokeOpacity: 0.5 }),
      Plot.ruleX(DURATIONS, { strokeOpacity: 0.14 }),
      Plot.axisX(namedDurations(room), {
        label: null,
        fontSize: 11,
        tickSize: 5,
        text: (s: number) => `${s} s`,
      }),
      ...curves,
      Plot.link(names, {
        x1: END,
        x2: END ** (1 + 12 / room),
        y1: "sustained",
        y2: "label",
        strokeOpacity: 0.4,
      }),
      Plot.text(names, {
        y: "label",
        frameAnchor: "right",
        textAnchor: "start",
        dx: 16,
        text: (n: Name) => fitText(n.name, 10.5, right - NAMES_GAP),
        fontSize: 10.5,
        title: "name",
      }),
      Plot.ruleY(rate === undefined ? [] : [rate], {
        stroke: colours.mark,
        strokeWidth: 1.6,
        strokeDasharray: "6 3",
      }),
    ],
  });
}

/** The durations whose names have room. */
function namedDurations(room: number): readonly number[] {
  let taken = -Infinity;
  return DURATIONS.filter((seconds) => {
    const x = Math.log(seconds) / Math.log(END) * room;
    const half = textWidth(`${seconds} s`, 11) / 2;
    if (x - half < taken) return false;
    taken = x + half + 4;
    return true;
  });
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
