import { A_MOMENT, checkArgument } from "../../base/arguments.ts";
import { BALANCE_CAUTION } from "../drawing/balance_caution.ts";
import type { MomentBand, MomentSound, MomentSoundLayer } from "../../measures/balance/balance_results.ts";
import { pitchName } from "../../base/units.ts";
import { type ChartOptions, checkedOptions } from "../drawing/chart_options.ts";
import { chartDocument } from "../drawing/chart_document.ts";
import { chartFrame, type FrameBlock, roleFill } from "../drawing/frame.ts";
import { type Chart, h, svgText } from "../drawing/svg.ts";
import { fittingText, textWidth, wrapText } from "../drawing/text_width.ts";
import { ROLE_LOOKS } from "../drawing/theme.ts";
import { niceTop } from "../drawing/value_axis.ts";
import { counted, listed } from "../drawing/words.ts";

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

/** Where everything stands. */
interface Layout {
  readonly document: Document;
  readonly layers: readonly MomentSoundLayer[];
  readonly bandsOf: (layer: MomentSoundLayer) => readonly MomentBand[];
  readonly xOf: (cam: number) => number;
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
 * const chart = momentSoundChart(momentSound(demoScore(), { bar: 16 }));
 * assertStringIncludes(chartSvg(chart), "1600 Hz");
 * ```
 */
export function momentSoundChart(moment: MomentSound, options: ChartOptions = {}): Chart {
  checkArgument("draw the chart of one moment", moment, A_MOMENT);
  const {
    width,
    height = 400,
    title = `Who is heard where: bar ${moment.barNumber}, beat ${Number(moment.beat.toFixed(2))}`,
  } = checkedOptions("chart of one moment", options);
  const document = chartDocument();
  const layers = moment.layers.slice(0, MOST_LAYERS);
  const left = LEFT;
  const isNarrow = width < BESIDE_FROM;
  const right = isNarrow ? width - RIGHT : width - NAMES - RIGHT;
  const first = moment.bands.filter((b) => b.layer === moment.bands[0]?.layer);
  const cams = first.map((b) => b.cam);
  const step = cams.length > 1 ? cams[1]! - cams[0]! : 1;
  const [low, high] = [(cams[0] ?? 2) - step / 2, (cams.at(-1) ?? 38) + step / 2];
  const byLayer = Map.groupBy(moment.bands, (b) => b.layer);
  const layout: Layout = {
    document,
    layers,
    bandsOf: (l) => byLayer.get(l.layer) ?? [],
    xOf: (cam) => left + (cam - low) / (high - low) * (right - left),
    step,
    right,
    width,
  };
  const more = moment.layers.length - layers.length;
  return chartFrame(document, {
    name: NAME,
    width,
    title,
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
      ? [{ element: svgText(document, { text: "Nothing sounds here.", x: 12, y: 16, size: 12 }), height: 30 }]
      : [
        levelBlock(layout, Math.round(height * 0.55)),
        stripBlock(layout),
        heardBlock(layout, Math.round(height * 0.35)),
        axisBlock(layout),
        ...(isNarrow ? [namesBlock(layout)] : []),
      ],
  });
}

/** A panel's frame: heading, lines across, figures at the left. */
function panelFrame(
  { document, right }: Layout,
  { heading, height, values, yOf, decimals = 0 }: {
    /** What it shows, in several wordings, the longest first. */
    readonly heading: readonly string[];
    readonly height: number;
    readonly values: readonly number[];
    readonly yOf: (value: number) => number;
    readonly decimals?: number;
  },
): readonly SVGElement[] {
  return [
    svgText(document, {
      text: fittingText(heading, 11, right - LEFT),
      x: LEFT,
      y: HEADING - 8,
      opacity: 0.85,
    }),
    ...values.flatMap((v) => [
      h(document, "path", {
        d: `M${LEFT} ${yOf(v)}H${right}`,
        fill: "none",
        stroke: "currentColor",
        "stroke-opacity": v === 0 ? 0.6 : 0.12,
      }),
      svgText(document, {
        text: v.toFixed(v === 0 ? 0 : decimals),
        x: LEFT - 6,
        y: yOf(v) + 4,
        anchor: "end",
      }),
    ]),
    h(document, "path", {
      d: `M${LEFT} ${HEADING}V${HEADING + height}`,
      fill: "none",
      stroke: "currentColor",
      "stroke-opacity": 0.25,
    }),
  ];
}

/** Excitation levels as lines, and the layers' names beside them. */
function levelBlock(layout: Layout, height: number): FrameBlock {
  const { document, layers, bandsOf, xOf, right } = layout;
  const highest = Math.max(20, ...layers.flatMap((l) => bandsOf(l).map((b) => b.levelDb)));
  // The numbers of the layers stand on their lines' highest points, and below the upper edge.
  const top = Math.max(Math.ceil(highest / 20) * 20, highest * height / (height - NUMBER_RADIUS - 3));
  const yOf = (db: number) => HEADING + height * (1 - Math.max(0, db) / top);
  const values = Array.from({ length: Math.floor(top / 20) + 1 }, (_, i) => 20 * i);
  const lines = layers.map((layer, i) => {
    const bands = bandsOf(layer);
    const isLow = (k: number) => (bands[k]?.levelDb ?? 0) <= 0;
    const d = bands.flatMap((b, k) =>
      isLow(k) && isLow(k - 1) && isLow(k + 1)
        ? []
        : [`${k === 0 || (isLow(k) && isLow(k - 1)) ? "M" : "L"}${xOf(b.cam)} ${yOf(b.levelDb)}`]
    ).join("").replace(/^L/, "M");
    return h(
      document,
      "g",
      { class: "excitation", title: `${layer.role}: ${layer.parts}` },
      h(document, "path", {
        d: d,
        fill: "none",
        stroke: "var(--ripieno-paper, #ffffff)",
        "stroke-width": layer.role === "lead" ? 5 : 3.6,
        "stroke-opacity": 0.8,
      }),
      h(document, "path", {
        d: d,
        fill: "none",
        stroke: lineColour(layer),
        "stroke-width": layer.role === "lead" ? 3 : 1.8,
        ...(layer.role === "lead" || DASHES[i] === "" ? {} : { "stroke-dasharray": DASHES[i]! }),
      }),
    );
  });
  const marks = numberMarks(layout, yOf);
  return {
    element: h(
      document,
      "g",
      { "aria-label": "excitation" },
      ...panelFrame(layout, {
        heading: ["excitation of the inner ear, dB"],
        height,
        values,
        yOf,
      }),
      ...lines,
      ...marks,
      ...(layout.width < BESIDE_FROM ? [] : names(layout, { left: right + 20, top: HEADING + 4 }).elements),
    ),
    height: HEADING + height + 6,
  };
}

/** Dark enough for a line on white paper: pale fills are drawn in their ink. */
function lineColour({ role }: MomentSoundLayer): string {
  const { fill, ink } = ROLE_LOOKS[role];
  return role === "pad" || role === "punctuation" || role === "trill" ? ink : fill;
}

/** Room between the middles of two numbers, in pixels. */
const NUMBER_GAP = 18;

/** A number in a circle on each line, at its highest point that no other number has taken. */
function numberMarks(
  { document, layers, bandsOf, xOf }: Layout,
  yOf: (levelDb: number) => number,
): readonly SVGElement[] {
  const placed: { x: number; y: number }[] = [];
  return layers.map((layer, i) => {
    const points = bandsOf(layer).toSorted((a, b) => b.levelDb - a.levelDb)
      .map((b) => ({ x: xOf(b.cam), y: yOf(b.levelDb) }));
    const isFree = (at: { x: number; y: number }) =>
      placed.every((p) => Math.hypot(p.x - at.x, p.y - at.y) >= NUMBER_GAP);
    const at = points.find(isFree) ?? points[0]!;
    placed.push(at);
    return h(
      document,
      "g",
      { class: "number" },
      h(document, "circle", {
        cx: at.x,
        cy: at.y,
        r: NUMBER_RADIUS,
        fill: "var(--ripieno-paper, #ffffff)",
        stroke: lineColour(layer),
        "stroke-width": 1.6,
      }),
      svgText(document, {
        text: String(i + 1),
        x: at.x,
        y: at.y + 4,
        size: 10.5,
        anchor: "middle",
        weight: 600,
      }),
    );
  });
}

/** The layers in words: number, role, players, and what they keep. */
function names(
  { document, layers, width }: Layout,
  { left, top }: { readonly left: number; readonly top: number },
): { readonly elements: readonly SVGElement[]; readonly bottom: number } {
  let y = top;
  const elements = layers.flatMap((layer, i) => {
    const name = `${layer.role}: ${layer.parts}`;
    const lines = wrapText(name, 11, width - left - 36);
    const shown = lines.length > 2 ? [lines[0]!, `${lines[1]!.replace(/,$/, "")} …`] : lines;
    const at = y;
    y += 22 + 13 * shown.length;
    return [
      svgText(document, { text: String(i + 1), x: left + 3, y: at + 11, anchor: "middle", weight: 600 }),
      h(document, "rect", {
        x: left + 12,
        y: at,
        width: 14,
        height: 14,
        rx: 2,
        fill: roleFill(NAME, layer.role),
      }),
      ...shown.map((text, k) => svgText(document, { text, x: left + 32, y: at + 11 + 13 * k, title: name })),
      svgText(document, {
        text: `keeps ${Math.round(100 * layer.audibleShare)} % of ${layer.aloneSones.toFixed(1)} sones`,
        x: left + 32,
        y: at + 11 + 13 * shown.length,
        size: 10,
        opacity: 0.72,
      }),
    ];
  });
  return { elements, bottom: y };
}

/** The same below the panels, for narrow pictures. */
function namesBlock(layout: Layout): FrameBlock {
  const { elements, bottom } = names(layout, { left: 14, top: 6 });
  return {
    element: h(layout.document, "g", {}, ...elements),
    height: bottom,
  };
}

/** The layer with the most of each band. */
function stripBlock(layout: Layout): FrameBlock {
  const { document, layers, bandsOf, xOf, step } = layout;
  const perLayer = layers.map(bandsOf);
  const winners = (perLayer[0] ?? []).map((band, c) => {
    let winner = -1;
    let most = FAINT_DB;
    perLayer.forEach((bands, i) => {
      if (bands[c]!.levelDb > most) [winner, most] = [i, bands[c]!.levelDb];
    });
    return { cam: band.cam, winner };
  });
  const runs: { winner: number; from: number; to: number }[] = [];
  for (const { cam, winner } of winners) {
    const last = runs.at(-1);
    if (last && last.winner === winner) last.to = cam + step / 2;
    else runs.push({ winner, from: cam - step / 2, to: cam + step / 2 });
  }
  const children = runs.filter((r) => r.winner >= 0).flatMap((r) => {
    const layer = layers[r.winner]!;
    const [x1, x2] = [xOf(r.from), xOf(r.to)];
    const hover = `${layer.role}: ${layer.parts}`;
    return [
      h(document, "rect", {
        class: "occupied",
        x: x1,
        y: HEADING,
        width: x2 - x1,
        height: STRIP - 4,
        fill: roleFill(NAME, layer.role),
        stroke: "var(--ripieno-paper, #ffffff)",
        "stroke-width": 1,
        title: hover,
      }),
      ...(x2 - x1 < 15 ? [] : [
        h(document, "circle", {
          cx: (x1 + x2) / 2,
          cy: HEADING + (STRIP - 4) / 2,
          r: 8,
          fill: "var(--ripieno-paper, #ffffff)",
        }),
        svgText(document, {
          text: String(r.winner + 1),
          x: (x1 + x2) / 2,
          y: HEADING + (STRIP - 4) / 2 + 4,
          size: 10.5,
          anchor: "middle",
          weight: 600,
        }),
      ]),
    ];
  });
  return {
    element: h(
      document,
      "g",
      { "aria-label": "who occupies which band" },
      svgText(document, {
        text: "who occupies which band: the layer with the most of it",
        x: LEFT,
        y: HEADING - 8,
        opacity: 0.85,
      }),
      ...children,
    ),
    height: HEADING + STRIP,
  };
}

/** What is heard of each layer, band by band, stacked. */
function heardBlock(layout: Layout, height: number): FrameBlock {
  const { document, layers, bandsOf, xOf, step } = layout;
  const perLayer = layers.map(bandsOf);
  const sums = (perLayer[0] ?? []).map((_, c) =>
    perLayer.reduce((sum, bands) => sum + bands[c]!.heardSonesPerCam, 0)
  );
  const top = niceTop(Math.max(0.1, ...sums));
  const yOf = (value: number) => HEADING + height * (1 - value / top);
  const below = sums.map(() => 0);
  const areas = layers.map((layer, i) => {
    const bands = perLayer[i]!;
    const upper: string[] = [];
    const lower: string[] = [];
    bands.forEach((b, c) => {
      const [x1, x2] = [xOf(b.cam - step / 2), xOf(b.cam + step / 2)];
      lower.unshift(`L${x2} ${yOf(below[c]!)}L${x1} ${yOf(below[c]!)}`);
      below[c]! += b.heardSonesPerCam;
      upper.push(`${c === 0 ? "M" : "L"}${x1} ${yOf(below[c]!)}L${x2} ${yOf(below[c]!)}`);
    });
    return h(document, "path", {
      class: "heard",
      d: `${upper.join("")}${lower.join("")}Z`,
      fill: roleFill(NAME, layer.role),
      stroke: "currentColor",
      "stroke-opacity": 0.35,
      "stroke-width": 0.5,
      title: `${layer.role}: ${layer.parts}, ${layer.partialSones.toFixed(1)} sones beside the others`,
    });
  });
  return {
    element: h(
      document,
      "g",
      { "aria-label": "what is heard" },
      ...panelFrame(layout, {
        heading: [
          "what is heard of each layer beside the others, sones per band (Cam), one upon the other",
          "heard beside the others, sones per band (Cam)",
        ],
        height,
        values: [0, top / 2, top],
        yOf,
        decimals: Number.isInteger(top / 2) ? 0 : Number.isInteger(5 * top) ? 1 : 2,
      }),
      ...areas,
    ),
    height: HEADING + height + 2,
  };
}

/** Frequencies and the nearest pitches. */
function axisBlock({ document, xOf, right, width }: Layout): FrameBlock {
  const camOf = (hz: number) => 21.366 * Math.log10(0.004368 * hz + 1);
  let taken = -Infinity;
  const children = TICKS.flatMap((hz) => {
    const x = xOf(camOf(hz));
    const half = textWidth(`${hz} Hz`, 10.5) / 2;
    if (x < LEFT || x > right || x - half < taken || x + half > width) return [];
    taken = x + half + 4;
    return [
      h(document, "path", { d: `M${x} 0V6`, fill: "none", stroke: "currentColor", "stroke-opacity": 0.6 }),
      svgText(document, { text: `${hz} Hz`, x, y: 18, size: 10.5, anchor: "middle" }),
      svgText(document, {
        text: pitchName(69 + 12 * Math.log2(hz / 440)),
        x,
        y: 31,
        size: 10,
        anchor: "middle",
        opacity: 0.7,
      }),
    ];
  });
  return {
    element: h(document, "g", { "aria-label": "frequencies" }, ...children),
    height: 38,
  };
}
