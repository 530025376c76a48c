/** The shape of a passage: loudness, register and density bar by bar, against a wish or the shape of the tune. */
// @ts-types="@types/d3-array"
import { max, min } from "d3-array";
import { A_SCORE, A_TEXTURE, checkArgument, checkOptions } from "../../base/arguments.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import { weightedMean } from "../../base/weighted_mean.ts";
import { capitalised, threeDigits } from "../../base/words.ts";
import type { Note, Score } from "../../score/model.ts";
import { clockOf, endOfBar } from "../../score/time.ts";
import { strokesIn } from "../../score/tremolo.ts";
import type { Texture } from "../../texture/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import type { Balance } from "../balance/balance_results.ts";
import { givenBalance } from "../balance/given_balance.ts";
import { notesInBars } from "../notes_in_bars.ts";
import { spearman } from "../rank_correlation.ts";
import type { Contour, ContourBar, ContourCurve, ContourShape } from "./contour_results.ts";
import { A_CONTOUR_WISH, type ContourWish, curveOver, pointsOf, smoothed } from "./contour_shapes.ts";

/** Constants of {@linkcode contour}, with their units and sources. */
export const CONTOUR_CONSTANTS = {
  loudnessWeight: {
    value: 2,
    unit: "weight",
    source: "model assumption; loudness was dominant for arousal in Schubert 2004, Music Perception 21",
    meaning: "how much loudness counts",
  },
  registerWeight: {
    value: 1,
    unit: "weight",
    source: "model assumption; cues add up without interactions in Eerola, Friberg and Bresin 2013",
    meaning: "how much register counts",
  },
  densityWeight: {
    value: 1,
    unit: "weight",
    source: "model assumption, likewise",
    meaning: "how much density counts",
  },
  overBars: {
    value: 3,
    unit: "bars",
    least: 1,
    source: "model assumption: single bars are detail, a listener's answer lags 1 to 3 s (Schubert 2004)",
    meaning: "how many bars each point of a curve is the mean of",
  },
  levelPhons: {
    value: 1,
    unit: "phons",
    source: "model assumption, about the least change of level that is heard",
    meaning: "a loudness that goes no further is level",
  },
  levelSemitones: {
    value: 1,
    unit: "semitones",
    source: "model assumption",
    meaning: "a register that goes no further is level",
  },
  levelRatio: {
    value: 1.1,
    unit: "ratio",
    least: 1,
    source: "model assumption",
    meaning: "a density that goes no further is level",
  },
} as const;

type ContourSettings = Settings<typeof CONTOUR_CONSTANTS>;

/** Options of {@linkcode contour}. */
export interface ContourOptions {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Balance of the score, where it is known already. */
  readonly balance?: Balance;
  /** The shape wished for; by default the curves are held against the pitch of the tune. */
  readonly wish?: ContourWish;
  /** Constants that differ from {@linkcode CONTOUR_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof CONTOUR_CONSTANTS>>;
}

const ACTION = "measure the contour";
const OPTIONS = { texture: A_TEXTURE, balance: undefined, wish: A_CONTOUR_WISH, constants: undefined };

/**
 * Contour of a passage: how its loudness, its register and its density go, bar by bar, and whether they go as is wished or
 * as the tune does.
 *
 * - *Loudness*: the level of everything together, in phons, from the sones of the hearing model.
 * - *Register*: the mean sounding pitch of the layers, each by its share of the loudness.
 * - *Density*: notes that begin per second; unisons are one note, strokes of slashed notes are counted.
 *
 * Each curve is the mean over three bars, and what it *follows* is the rank correlation (Spearman) with the curve it is held
 * against: a wish, or the mean pitch of the lead, the lead's own bars alone counting. Its *range* is how far it goes. A
 * curve that goes less than can be heard is level and follows nothing. `contour` is their mean, loudness counting twice.
 * Following is not in itself good: an accompaniment may work against its tune. It says whether that is so.
 *
 * @param score the score
 * @param options texture, balance, wish, constants
 * @returns whole, per curve, per bar, in words
 * @throws {InputError} when the wish is no shape, or a constant is unknown or not a number
 *
 * Sources: that loudness drives perceived energy most Schubert, Music Perception 21 (2004) 561-585, and Dean, Bailes and
 * Schubert, PLoS ONE 6(4) e18591 (2011): turning the intensity round turned perceived arousal round; that cues add up
 * Eerola, Friberg and Bresin, Frontiers in Psychology 4:487 (2013). Phons from sones: Stevens, JASA 27 (1955) 815-829.
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { contour } from "ripieno/measures";
 * import { assertStringIncludes } from "@std/assert";
 * const { description } = contour(realise(demoSketch(), demoPlans().rotating));
 * assertStringIncludes(description[0]!, "Loudness goes with the tune");
 * ```
 */
export function contour(score: Score, options: ContourOptions = {}): Contour {
  checkArgument(ACTION, score, A_SCORE);
  checkOptions(ACTION, options, OPTIONS);
  const settings = applySettings("contour", CONTOUR_CONSTANTS, options.constants);
  const texture = givenTexture(ACTION, score, options.texture);
  const heard = givenBalance(ACTION, score, { texture, balance: options.balance });
  const bars = barsOf(score, texture, heard);
  const points = options.wish === undefined ? undefined : pointsOf(options.wish);
  const wanted = points ? curveOver(points, score.bars.length) : bars.map((b) => b.tune);
  const against = smoothed(wanted, points ? 1 : settings.overBars);
  const perBar = bars.map(({ tune: _, ...row }, b): ContourBar => ({ ...row, wanted: wanted[b]! }));
  const perCurve = CURVES.map((curve) => shapeOf(curve, { perBar, against, settings }));
  const rangeOf = (i: number) => perCurve[i]!.range;
  return {
    whole: {
      contour: together(perCurve, settings),
      loudnessRange: rangeOf(0),
      registerRange: rangeOf(1),
      densityRange: rangeOf(2),
    },
    against: points ? "wish" : "tune",
    perCurve,
    perBar,
    description: inWords(perCurve, points ? "wish" : "tune"),
    settings,
  };
}

/** A curve: its value of a bar, how far apart two values are, and the least that counts. */
interface Curve {
  readonly curve: ContourCurve;
  readonly valueOf: (bar: ContourBar) => number | null;
  readonly between: (low: number, high: number) => number;
  readonly levelBelow: (settings: ContourSettings) => number;
  readonly weight: (settings: ContourSettings) => number;
  readonly inWords: (range: number) => string;
}

const CURVES: readonly Curve[] = [
  {
    curve: "loudness",
    valueOf: (b) => b.loudnessPhons,
    between: (low, high) => high - low,
    levelBelow: (s) => s.levelPhons,
    weight: (s) => s.loudnessWeight,
    inWords: (range) => `${Math.round(range)} phons`,
  },
  {
    curve: "register",
    valueOf: (b) => b.register,
    between: (low, high) => high - low,
    levelBelow: (s) => s.levelSemitones,
    weight: (s) => s.registerWeight,
    inWords: (range) => `${Math.round(range)} semitones`,
  },
  {
    curve: "density",
    // A bar in which nothing begins is held, as a silent one is.
    valueOf: (b) => b.notesPerSecond > 0 ? b.notesPerSecond : null,
    between: (low, high) => high / low,
    levelBelow: (s) => s.levelRatio,
    weight: (s) => s.densityWeight,
    inWords: (range) => `${threeDigits(range)} times`,
  },
];

function shapeOf(
  { curve, valueOf, between, levelBelow }: Curve,
  { perBar, against, settings }: {
    readonly perBar: readonly ContourBar[];
    readonly against: readonly (number | null)[];
    readonly settings: ContourSettings;
  },
): ContourShape {
  const values = smoothed(perBar.map(valueOf), settings.overBars);
  const known = values.filter((v) => v !== null);
  const range = between(min(known) ?? 1, max(known) ?? 1);
  const pairs = values.flatMap((v, b) => v === null || against[b] == null ? [] : [[v, against[b]] as const]);
  const isLevel = range <= levelBelow(settings) + 1e-9;
  // What differs by less than a sum of figures can tell is equal.
  const own = pairs.map(([v]) => Number(v.toPrecision(9)));
  const follows = isLevel || pairs.length < 2 ? null : spearman(own, pairs.map(([, wanted]) => wanted));
  return { curve, follows, range };
}

function together(perCurve: readonly ContourShape[], settings: ContourSettings): number | null {
  if (perCurve.every((c) => c.follows === null)) return null;
  return weightedMean(perCurve.map((c, i) => [c.follows ?? 0, CURVES[i]!.weight(settings)]));
}

type BarShape = Omit<ContourBar, "wanted"> & { readonly tune: number | null };

function barsOf(score: Score, texture: Texture, heard: Balance): readonly BarShape[] {
  const parts = score.parts.length;
  const clock = clockOf(score);
  const notes = notesInBars(score);
  const shares = Map.groupBy(heard.perLayer, (l) => l.barIndex);
  return score.bars.map((bar, b) => {
    const [from, to] = [bar.startTicks, endOfBar(score, b)];
    const pitched = notes[b]!.filter((n) => !n.unpitched);
    const byLayer = Map.groupBy(pitched, (n) => texture.cells[b * parts + n.part]!.layer);
    const weighed = (shares.get(b) ?? []).flatMap(({ layer, loudnessShare }) => {
      const pitch = meanPitch(byLayer.get(layer) ?? [], from, to);
      return pitch === null ? [] : [[pitch, loudnessShare] as const];
    });
    const lead = pitched.filter((n) => texture.cells[b * parts + n.part]!.role === "lead");
    const sones = heard.perBar[b]!.loudnessSones;
    const seconds = clock(to) - clock(from);
    const begins = begun(notes[b]!.filter((n) => n.onsetTicks >= from), score);
    return {
      barIndex: b,
      bar: bar.number,
      onsetSeconds: clock(from),
      loudnessPhons: sones > SILENT_SONES ? 40 + 10 * Math.log2(sones) : null,
      register: weightedMean(weighed) ?? meanPitch(pitched, from, to),
      lowest: min(pitched, (n) => n.soundingPitch) ?? null,
      highest: max(pitched, (n) => n.soundingPitch) ?? null,
      notesPerSecond: seconds > 0 ? begins / seconds : 0, // an empty upbeat has no length
      tune: meanPitch(lead, from, to),
    };
  });
}

/** What is less loud is silence. Model assumption. */
const SILENT_SONES = 0.01;

/** Notes that begin, unisons once, slashed notes by their strokes. */
function begun(notes: readonly Note[], { ticksPerQuarter }: Score): number {
  const strokes = new Map<number, number>();
  for (const note of notes) {
    const key = note.onsetTicks * 256 + note.soundingPitch;
    strokes.set(key, Math.max(strokes.get(key) ?? 0, strokesIn(note, ticksPerQuarter)));
  }
  return strokes.values().reduce((sum, count) => sum + count, 0);
}

/** Mean pitch of what sounds between two places, by length. */
function meanPitch(notes: readonly Note[], from: number, to: number): number | null {
  return weightedMean(notes.map((n) => {
    const ticks = Math.min(to, n.onsetTicks + n.durationTicks) - Math.max(from, n.onsetTicks);
    return [n.soundingPitch, Math.max(0, ticks)] as const;
  }));
}

/** From how strong a rank correlation on a curve goes with another; below that it goes its own way. Model assumption. */
const GOES_WITH = 0.3;

function inWords(perCurve: readonly ContourShape[], against: Contour["against"]): readonly string[] {
  const other = against === "wish" ? "the shape wished for" : "the tune";
  return perCurve.map(({ curve, follows, range }, i) => {
    const how = follows === null
      ? "stays level"
      : follows >= GOES_WITH
      ? `goes with ${other}`
      : follows <= -GOES_WITH
      ? `goes against ${other}`
      : "goes its own way";
    const figure = follows === null ? "" : ` (${follows.toFixed(2)})`;
    return `${capitalised(curve)} ${how}${figure}, over ${CURVES[i]!.inWords(range)}.`;
  });
}
