/** The lower panel of the rate chart: how long a rate lasts. */
import * as Plot from "@observablehq/plot";
import type { Instrument } from "../../instruments/catalogue.ts";
import { SPEED_CONSTANTS, speedOver } from "../../instruments/rates.ts";
import type { FrameBlock } from "../drawing/frame.ts";
import { deciding, type Way } from "./rate_ways.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { plotBlock } from "../drawing/plot_block.ts";
import { headWords } from "../drawing/plot_texts.ts";
import { fitText, fittingText, movedApart, textWidth, withRoom } from "../drawing/text_width.ts";
import { valueAxis } from "../drawing/value_axis.ts";
import { instrumentAsPrinted } from "../drawing/note_name.ts";

/** What the panel is drawn from; rates in notes a second, lengths in pixels. */
interface EnduranceInput {
  readonly instruments: readonly Instrument[];
  readonly ways: readonly Way[];
  readonly width: number;
  readonly left: number;
  /** Upper end of the scale. */
  readonly top: number;
  /** A rate to be marked. */
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
const NAME_SIZE = 10.5;
const NAME_LINE = 13;
const { burstSeconds, sustainedFromSeconds } = SPEED_CONSTANTS;
const HEADINGS = [
  `notes a second against the length of the passage: the burst lasts ${burstSeconds.value} seconds, from ` +
  `${sustainedFromSeconds.value} only the rate that can be kept up is left`,
  "notes a second against the length of the passage",
];

/** A technique with its name and the height at which that stands, on the scale. */
interface NamedWay extends Way {
  readonly name: string;
  readonly label: number;
}

/** How the limits fall with the length of a passage, one line for each technique. */
export function endurancePanel(input: EnduranceInput): FrameBlock {
  const { width, top, rate, left, colours } = input;
  const usable = enduranceLines(input);
  const right = Math.min(
    MOST_NAMES,
    Math.max(...usable.map((w) => textWidth(w.name, NAME_SIZE))) + NAMES_GAP + 4,
  );
  const room = width - right - left;
  const height = Math.max(150, usable.length * NAME_LINE);
  const slowest = Math.min(rate ?? Infinity, ...usable.map((w) => w.sustained));
  const low = Math.max(0, Math.floor((slowest - 1) / 2) * 2);
  const wanted = usable.map((w) => ({ wanted: (top - w.sustained) / (top - low) * height, size: NAME_LINE }));
  // The names are points on the scale: the last may stand at its very end.
  const places = movedApart(wanted, { from: 0, to: height + Math.min(NAME_LINE, height / usable.length) });
  const ways = usable.map((way, i): NamedWay => ({ ...way, label: top - places[i]! / height * (top - low) }));
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
      headWords(fittingText(HEADINGS, 11, width - 24), { dx: 12 - left, dy: -14, opacity: 0.85 }),
      ...valueAxis({ bottom: low, top, height: 1.5 * height }),
      Plot.ruleY([low], { strokeOpacity: 0.5 }),
      ...durationAxis(room),
      ...wayCurves(ways, colours.hold),
      ...wayNames(ways, room, right - NAMES_GAP),
      Plot.ruleY(rate === undefined ? [] : [rate], {
        stroke: colours.mark,
        strokeWidth: 1.6,
        strokeDasharray: "6 3",
      }),
    ],
  });
}

/** A line at every duration, and those named that have room. */
function durationAxis(room: number): readonly Plot.Markish[] {
  const named = withRoom(DURATIONS, (seconds) => {
    const x = Math.log(seconds) / Math.log(END) * room;
    const half = textWidth(`${seconds} s`, 11) / 2;
    return [x - half, x + half];
  });
  return [
    Plot.ruleX(DURATIONS, { strokeOpacity: 0.14 }),
    Plot.axisX(named, { label: null, fontSize: 11, tickSize: 5, text: (s: number) => `${s} s` }),
  ];
}

function wayCurves(ways: readonly NamedWay[], stroke: string): readonly Plot.Markish[] {
  const steps = Array.from({ length: 61 }, (_, i) => END ** (i / 60));
  return ways.map(({ burst: burstPerSecond, sustained: sustainedPerSecond, conventional }) =>
    Plot.line(steps, {
      x: Plot.identity,
      y: (seconds: number) => speedOver({ burstPerSecond, sustainedPerSecond }, seconds),
      stroke,
      strokeWidth: 1.8,
      strokeLinecap: "butt",
      strokeDasharray: conventional ? "none" : "3 3",
      ...namedMark("endurance"),
    })
  );
}

/** The names right of the lines, each joined to the end of its own. */
function wayNames(ways: readonly NamedWay[], room: number, width: number): readonly Plot.Markish[] {
  return [
    Plot.link(ways, {
      x1: END,
      x2: END ** (1 + 12 / room),
      y1: "sustained",
      y2: "label",
      strokeOpacity: 0.4,
    }),
    Plot.text(ways, {
      y: "label",
      frameAnchor: "right",
      textAnchor: "start",
      dx: 16,
      text: (way: NamedWay) => fitText(way.name, NAME_SIZE, width),
      fontSize: NAME_SIZE,
      title: "name",
    }),
  ];
}

/** What the lower panel shows: of one instrument every technique, of several the ones that decide; like ones as one. */
function enduranceLines({ ways, instruments }: EnduranceInput): readonly (Way & { readonly name: string })[] {
  const alone = instruments.length === 1;
  const shown = alone ? ways : instruments.flatMap((i) => deciding(ways.filter((w) => w.instrument === i)));
  const alike = Map.groupBy(shown, (w) => `${w.sustained} ${w.burst} ${w.conventional}`);
  return [...alike.values()].flatMap((group) => {
    const first = group[0];
    if (first === undefined) return [];
    const names = group.map((w) => alone ? w.technique : instrumentAsPrinted(w.instrument.id)).join(", ");
    return [{ ...first, name: first.conventional ? names : `${names} (advanced)` }];
  });
}
