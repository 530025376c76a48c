import * as Plot from "@observablehq/plot";
import { A_MOMENT, checkArgument } from "../../base/arguments.ts";
import { BALANCE_CAUTION } from "../drawing/balance_caution.ts";
import type { MomentBand, MomentSound, MomentSoundLayer } from "../../measures/balance/balance_results.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartFrame, type FrameBlock, roleFill } from "../drawing/frame.ts";
import { namedMark } from "../drawing/named_mark.ts";
import { plotBlock } from "../drawing/plot_block.ts";
import { headWords } from "../drawing/plot_texts.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fittingText, textWidth, wrapText } from "../drawing/text_width.ts";
import { PAPER, ROLE_LOOKS, roleColour } from "../drawing/theme.ts";
import { niceTop, valueAxis } from "../drawing/value_axis.ts";
import { counted, listed } from "../drawing/words.ts";
import { momentTitle } from "../titles/sound_titles.ts";
import { noteName } from "../drawing/note_name.ts";

const NAME = "moment-sound";
const LEFT = 52;
const NAMES = 250;
const RIGHT = 14;
const HEADING = 22;
const STRIP = 26;
/** Narrower pictures have the names below instead of beside. */
const BESIDE_FROM = 640;
/** Layers drawn at most, the loudest. */
const MOST_LAYERS = 9;
/** Frequencies named on the axis, in Hz. */
const TICKS = [100, 200, 400, 800, 1600, 3200, 6400, 12800];
/** Dashes that tell lines apart besides their numbers; the first layer is drawn full. */
const DASHES = ["", "7 3", "2 3", "10 3 2 3", "4 2", "1 2", "12 4", "6 2 1 2", "3 5"];
/** Radius of the numbers on the lines, in pixels. */
const NUMBER_RADIUS = 8;
/** Under this level a layer is said to occupy nothing, in dB. */
const FAINT_DB = 10;

interface MomentLayout {
  readonly layers: readonly MomentSoundLayer[];
  readonly bandsOf: (layer: MomentSoundLayer) => readonly MomentBand[];
  /** Ends of the scale, in Cam. */
  readonly ends: readonly [number, number];
  /** Width of a band, in Cam. */
  readonly step: number;
  readonly right: number;
  readonly width: number;
}

/**
 * One moment as the ear has it, from low to high along the inner ear: how strongly each layer excites each place, which
 * layer occupies which band, and how much of each layer is heard there beside the others. Layers are numbered by
 * loudness.
 *
 * @param moment as from `momentSound`
 * @param options width, height, title
 * @returns the chart; of more than nine layers, the loudest nine
 * @throws {InputError} when an option is unknown or out of bounds
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { momentSound } from "ripieno/measures";
 * import { chartSvg, momentSoundChart } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const chart = momentSoundChart(momentSound(demoScore(), { barIndex: 16 }));
 * assertStringIncludes(chartSvg(chart), "1600 Hz");
 * ```
 */
export function momentSoundChart(moment: MomentSound, options: ChartOptions = {}): Chart {
  checkArgument("draw the chart of one moment", moment, A_MOMENT);
  const {
    width,
    height = 400,
    title,
  } = checkedOptions("chart of one moment", options);
  const layers = moment.layers.slice(0, MOST_LAYERS);
  const isNarrow = width < BESIDE_FROM;
  const right = isNarrow ? width - RIGHT : width - NAMES - RIGHT;
  const first = moment.bands.filter((b) => b.layer === moment.bands[0]?.layer);
  const cams = first.map((b) => b.cam);
  const step = cams.length > 1 ? cams[1]! - cams[0]! : 1;
  const byLayer = Map.groupBy(moment.bands, (b) => b.layer);
  const layout: MomentLayout = {
    layers,
    bandsOf: (l) => byLayer.get(l.layer) ?? [],
    ends: [(cams[0] ?? 2) - step / 2, (cams.at(-1) ?? 38) + step / 2],
    step,
    right,
    width,
  };
  const more = moment.layers.length - layers.length;
  return chartFrame({
    name: NAME,
    width,
    title: title ?? momentTitle(moment),
    note: `${more > 0 ? `The loudest ${MOST_LAYERS} of ${moment.layers.length} layers. ` : ""}${
      title === "" ? "" : BALANCE_CAUTION
    }`,
    label: layers.length === 0
      ? "Nothing sounds"
      : `${counted(moment.layers.length, "layer")} along the inner ear; of their loudness they keep: ${
        listed(layers.map((l) => `${l.role} ${Math.round(100 * l.audibleShare)} per cent`), 9)
      }`,
    legend: [],
    blocks: layers.length === 0
      ? [{ element: svgText({ text: "Nothing sounds here.", x: 12, y: 16, size: 12 }), height: 30 }]
      : [
        isNarrow
          ? levelBlock(layout, Math.round(height * 0.55))
          : besides(levelBlock(layout, Math.round(height * 0.55)), namesBlock(layout, right + 20)),
        stripBlock(layout),
        heardBlock(layout, Math.round(height * 0.35)),
        ...(isNarrow ? [namesBlock(layout, 14)] : []),
      ],
  });
}

function besides(one: FrameBlock, other: FrameBlock): FrameBlock {
  return { element: h("g", {}, one.element, other.element), height: one.height };
}

/** A panel along the inner ear: its heading, in several wordings, above its marks. */
function panel(
  { ends, right, width }: MomentLayout,
  { label, heading, height, below, top = 1, marks }: {
    readonly label: string;
    readonly heading: readonly string[];
    readonly height: number;
    /** Pixels below the marks. */
    readonly below: number;
    /** Upper end of the scale. */
    readonly top?: number;
    readonly marks: readonly Plot.Markish[];
  },
): FrameBlock {
  return plotBlock({
    label,
    width,
    height: HEADING + height + below,
    marginLeft: LEFT,
    marginRight: width - right,
    marginTop: HEADING,
    marginBottom: below,
    x: { domain: ends },
    y: { domain: [0, top] },
    marks: [headWords(fittingText(heading, 11, right - LEFT), { dy: -8, opacity: 0.85 }), ...marks],
  });
}

/** Excitation levels as lines; the lead is drawn full, the others dashed. */
function levelBlock(layout: MomentLayout, height: number): FrameBlock {
  const { layers, bandsOf, ends } = layout;
  const highest = Math.max(20, ...layers.flatMap((l) => bandsOf(l).map((b) => b.levelDb)));
  // The numbers of the layers stand on their lines' highest points, and below the upper edge.
  const top = Math.max(Math.ceil(highest / 20) * 20, highest * height / (height - NUMBER_RADIUS - 3));
  const lines = layers.flatMap((layer, i) => {
    const bands = bandsOf(layer);
    const isLow = (k: number) => (bands[k]?.levelDb ?? 0) <= 0;
    const points = bands.map((b, k) => ({
      x: b.cam,
      y: isLow(k - 1) && isLow(k) && isLow(k + 1) ? NaN : Math.max(0, b.levelDb),
    }));
    const isLead = layer.role === "lead";
    const place = { x: "x", y: "y", title: () => nameOf(layer) } as const;
    return [
      Plot.line(points, { ...place, stroke: PAPER, strokeWidth: isLead ? 5 : 3.6, strokeOpacity: 0.8 }),
      Plot.line(points, {
        ...place,
        stroke: lineColour(layer),
        strokeWidth: isLead ? 3 : 1.8,
        strokeDasharray: isLead ? "none" : DASHES[i]!,
        strokeLinecap: "butt",
        ...namedMark("excitation"),
      }),
    ];
  });
  const numbers = numberPlaces(layout, height / top);
  return panel(layout, {
    label: "excitation",
    heading: ["excitation of the inner ear, dB"],
    height,
    below: 6,
    top,
    marks: [
      ...valueAxis({ bottom: 0, top, height }),
      Plot.ruleX([ends[0]], { strokeOpacity: 0.25 }),
      Plot.ruleY([0], { strokeOpacity: 0.5 }),
      ...lines,
      Plot.dot(numbers, {
        x: "cam",
        y: "levelDb",
        r: NUMBER_RADIUS,
        fill: PAPER,
        stroke: (n: NumberPlace) => lineColour(n.layer),
        strokeWidth: 1.6,
        ...namedMark("numbers"),
      }),
      Plot.text(numbers, { x: "cam", y: "levelDb", ...NUMBER }),
    ],
  });
}

/** The number of a layer in its circle. */
const NUMBER = { text: (n: { number: number }) => String(n.number), fontSize: 10.5, fontWeight: 600 };

const nameOf = ({ role, parts }: MomentSoundLayer) => `${role}: ${parts}`;

/** Dark enough for a line on white paper: pale fills are drawn in their ink. */
function lineColour({ role }: MomentSoundLayer): string {
  const { fill, ink } = ROLE_LOOKS[role];
  return roleColour(role, role === "pad" || role === "punctuation" || role === "trill" ? ink : fill);
}

/** Room between the middles of two numbers, in pixels. */
const NUMBER_GAP = 18;

interface NumberPlace {
  readonly layer: MomentSoundLayer;
  readonly number: number;
  readonly cam: number;
  readonly levelDb: number;
}

/** A number for each line, at its highest point that no other number has taken. */
function numberPlaces(
  { layers, bandsOf, ends, right }: MomentLayout,
  pixelsPerDb: number,
): readonly NumberPlace[] {
  const pixelsPerCam = (right - LEFT) / (ends[1] - ends[0]);
  const placed: NumberPlace[] = [];
  layers.forEach((layer, i) => {
    const points = bandsOf(layer).toSorted((a, b) => b.levelDb - a.levelDb)
      .map(({ cam, levelDb }) => ({ layer, number: i + 1, cam, levelDb: Math.max(0, levelDb) }));
    const isFree = (at: NumberPlace) =>
      placed.every((p) =>
        Math.hypot((p.cam - at.cam) * pixelsPerCam, (p.levelDb - at.levelDb) * pixelsPerDb) >= NUMBER_GAP
      );
    placed.push(points.find(isFree) ?? points[0]!);
  });
  return placed;
}

/** The layers in words, below each other: number, role, players, and what they keep. */
function namesBlock({ layers, width }: MomentLayout, left: number): FrameBlock {
  let bottom = left > width / 2 ? HEADING + 4 : 6;
  const names = layers.map((layer, i) => {
    const lines = wrapText(nameOf(layer), 11, width - left - 36);
    const shown = lines.length > 2 ? [lines[0]!, `${lines[1]!.replace(/,$/, "")} …`] : lines;
    const y = bottom;
    bottom += 22 + 13 * shown.length;
    return { layer, number: i + 1, y, shown };
  });
  type Name = typeof names[number];
  const words = { y: "y", frameAnchor: "left", lineAnchor: "top", textAnchor: "start" } as const;
  return plotBlock({
    width,
    height: bottom,
    marginLeft: left,
    y: { domain: [bottom, 0] },
    marks: [
      Plot.text(names, { ...words, ...NUMBER, fontSize: 11, dy: 2, textAnchor: "middle", dx: 3 }),
      Plot.dot(names, {
        y: "y",
        frameAnchor: "left",
        dx: 19,
        dy: 7,
        symbol: "square",
        r: 7.9,
        fill: (n: Name) => roleFill(NAME, n.layer.role),
      }),
      Plot.text(names, {
        ...words,
        dx: 32,
        dy: 2,
        text: (n: Name) => n.shown.join("\n"),
        lineHeight: 13 / 11,
        title: (n: Name) => nameOf(n.layer),
      }),
      Plot.text(names, {
        ...words,
        y: (n: Name) => n.y + 13 * n.shown.length,
        dx: 32,
        dy: 3,
        text: ({ layer }: Name) =>
          `keeps ${Math.round(100 * layer.audibleShare)} % of ${layer.aloneSones.toFixed(1)} sones`,
        fontSize: 10,
        fillOpacity: 0.72,
      }),
    ],
  });
}

/** A stretch of bands that one layer has most of. */
interface Occupied {
  readonly layer: MomentSoundLayer | undefined;
  readonly number: number;
  readonly from: number;
  readonly to: number;
}

/** The layer with the most of each band. */
function stripBlock(layout: MomentLayout): FrameBlock {
  const { layers, bandsOf, step, ends, right } = layout;
  const perLayer = layers.map(bandsOf);
  const runs: Occupied[] = [];
  perLayer[0]?.forEach(({ cam }, c) => {
    let [winner, most] = [-1, FAINT_DB];
    perLayer.forEach((bands, i) => {
      if (bands[c]!.levelDb > most) [winner, most] = [i, bands[c]!.levelDb];
    });
    const [layer, number, to] = [layers[winner], winner + 1, cam + step / 2];
    const last = runs.at(-1);
    if (last?.number === number) runs[runs.length - 1] = { ...last, to };
    else runs.push({ layer, number, from: cam - step / 2, to });
  });
  const shown = runs.filter((r) => r.layer !== undefined);
  const wide = shown.filter((r) => (r.to - r.from) / (ends[1] - ends[0]) * (right - LEFT) >= 15);
  const middle = { x: (r: Occupied) => (r.from + r.to) / 2, y: 0.5 } as const;
  return panel(layout, {
    label: "who occupies which band",
    heading: ["who occupies which band: the layer with the most of it"],
    height: STRIP - 4,
    below: 4,
    marks: [
      Plot.rect(shown, {
        x1: "from",
        x2: "to",
        y1: 0,
        y2: 1,
        fill: (r: Occupied) => roleFill(NAME, r.layer!.role),
        stroke: PAPER,
        title: (r: Occupied) => nameOf(r.layer!),
        ...namedMark("occupied"),
      }),
      Plot.dot(wide, { ...middle, r: 8, fill: PAPER }),
      Plot.text(wide, { ...middle, ...NUMBER }),
    ],
  });
}

/** What is heard of each layer, band by band, stacked; frequencies and the nearest pitches below. */
function heardBlock(layout: MomentLayout, height: number): FrameBlock {
  const { layers, bandsOf, ends, step } = layout;
  const rows = layers.flatMap((layer) => {
    const own = bandsOf(layer).map((b) => ({ layer, cam: b.cam - step / 2, sones: b.heardSonesPerCam }));
    return [...own, { layer, cam: ends[1], sones: own.at(-1)?.sones ?? 0 }];
  });
  type Row = typeof rows[number];
  const sums = [...Map.groupBy(rows, (r) => r.cam).values()].map((own) =>
    own.reduce((sum, r) => sum + r.sones, 0)
  );
  const top = niceTop(Math.max(0.1, ...sums));
  const named = namedFrequencies(layout);
  const cams = named.map((t) => t.cam);
  const axis = { label: null, fontSize: 10 };
  return panel(layout, {
    label: "what is heard",
    heading: [
      "what is heard of each layer beside the others, sones per band (Cam), one upon the other",
      "heard beside the others, sones per band (Cam)",
    ],
    height,
    below: 40,
    top,
    marks: [
      ...valueAxis({ bottom: 0, top, height }),
      Plot.ruleX([ends[0]], { strokeOpacity: 0.25 }),
      Plot.ruleY([0], { strokeOpacity: 0.5 }),
      Plot.areaY(
        rows,
        Plot.stackY({
          x: "cam",
          y: "sones",
          z: (r: Row) => r.layer.layer,
          curve: "step-after",
          fill: (r: Row) => roleFill(NAME, r.layer.role),
          // Without their hues, two dark layers one upon the other are told apart by what lies between them.
          stroke: PAPER,
          title: ({ layer }: Row) =>
            `${nameOf(layer)}, ${layer.partialSones.toFixed(1)} sones beside the others`,
          ...namedMark("heard"),
        }),
      ),
      Plot.axisX(cams, { ...axis, fontSize: 10.5, tickFormat: (_, i) => `${named[i]!.hz} Hz` }),
      Plot.axisX(cams, {
        ...axis,
        tickSize: 0,
        tickPadding: 23,
        fillOpacity: 0.7,
        tickFormat: (_, i) => noteName(69 + 12 * Math.log2(named[i]!.hz / 440)),
      }),
    ],
  });
}

/** The frequencies on the scale that have room for their names. */
function namedFrequencies(
  { ends, right, width }: MomentLayout,
): readonly { readonly hz: number; readonly cam: number }[] {
  let taken = -Infinity;
  return TICKS.map((hz) => ({ hz, cam: 21.366 * Math.log10(0.004368 * hz + 1) })).filter(({ hz, cam }) => {
    const x = LEFT + (cam - ends[0]) / (ends[1] - ends[0]) * (right - LEFT);
    const half = textWidth(`${hz} Hz`, 10.5) / 2;
    if (x < LEFT || x > right || x - half < taken || x + half > width) return false;
    taken = x + half + 4;
    return true;
  });
}
