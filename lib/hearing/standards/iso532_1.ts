import { AN_ARRAY, checkArgument, checkOptions, oneOf } from "../../base/arguments.ts";
import { dbOfPower, powerOfDb } from "../decibels.ts";
import { CRITICAL_BANDS, LAST_EDGE_BARK, LOW_BAND_CORRECTIONS_DB, SLOPES } from "./iso532_1_tables.ts";
import type { Sones } from "../../base/units.ts";
import { refusal } from "../refusal.ts";

/** Number of third-octave bands the method takes, 25 Hz to 12.5 kHz. */
const ZWICKER_BANDS = 28;

/** How {@linkcode zwickerLoudness} is worked out. */
export interface ZwickerOptions {
  /** From in front in the open, or from all sides as in a hall. @default {"free"} */
  readonly field?: "free" | "diffuse";
}

/** Loudness by ISO 532-1. */
export interface ZwickerLoudness {
  /** Total loudness in sones. */
  readonly sones: Sones;
  /** Loudness level in phon. */
  readonly phon: number;
  /** Specific loudness in sone/Bark at 0.1, 0.2 ... 24.0 Bark: 240 values. */
  readonly specific: Float64Array;
}

/** Highest level in dB that the method takes in the bands from 25 Hz to 250 Hz. */
const HIGHEST_LOW_BAND_DB = 120;

/** Levels of the twenty critical bands: the lowest three are gathered from weighted third octaves. */
function criticalBandLevels(levels: ArrayLike<number>): number[] {
  const weighted: number[] = [];
  for (let band = 0; band < 11; band++) {
    const level = levels[band]!;
    const row = LOW_BAND_CORRECTIONS_DB.find(([limit, corrections]) => level <= limit - corrections[band]!);
    if (row === undefined || level > HIGHEST_LOW_BAND_DB) {
      throw refusal(
        "compute loudness",
        `a band up to 250 Hz has ${level} dB`,
        `ISO 532-1 covers up to ${HIGHEST_LOW_BAND_DB} dB there`,
      );
    }
    weighted.push(powerOfDb(level + row[1][band]!));
  }
  const gathered = (from: number, to: number) =>
    dbOfPower(weighted.slice(from, to).reduce((a, b) => a + b, 0));
  const levelsAbove = Array.from({ length: 17 }, (_, i) => levels[11 + i]!);
  return [gathered(0, 6), gathered(6, 9), gathered(9, 11), ...levelsAbove];
}

/** Core loudness of the twenty critical bands in sone/Bark. */
function coreLoudness(bandLevels: readonly number[], field: "free" | "diffuse"): number[] {
  const core = bandLevels.map((bandLevel, band) => {
    const [, threshold, transmission, diffuse, bandwidth] = CRITICAL_BANDS[band]!;
    const level = bandLevel - transmission + (field === "diffuse" ? diffuse : 0);
    if (level <= threshold) return 0;
    const above = level - bandwidth - threshold;
    const value = 0.0635 * 10 ** (0.025 * threshold) * ((0.75 + 0.25 * powerOfDb(above)) ** 0.25 - 1);
    return Math.max(0, value);
  });
  core[0] = core[0]! * Math.min(1, 0.4 + 0.32 * core[0]! ** 0.2);
  return core;
}

/** Row of the slope table for a specific loudness on its way down. */
function slopeRow(loudness: number): (typeof SLOPES)[number] {
  return SLOPES.find(([limit]) => limit < loudness) ?? SLOPES.at(-1)!;
}

/** What the published program adds to every upper edge, so that samples on an edge belong to the band below. */
const EDGE_MARGIN_BARK = 1e-4;

/** A stretch of the loudness pattern: a straight line between two places in Bark. */
interface PatternPiece {
  readonly from: number;
  readonly to: number;
  readonly start: number;
  readonly steepness: number;
}

/** The loudness pattern from 0 to 24 Bark: flat over each band, sloping down over the bands above a louder one. */
function loudnessPattern(core: readonly number[]): PatternPiece[] {
  const pieces: PatternPiece[] = [];
  let place = 0, loudness = 0;
  const edges = [...CRITICAL_BANDS.map(([upperEdge]) => upperEdge), LAST_EDGE_BARK];
  for (let band = 0; band < edges.length; band++) {
    const edge = edges[band]! + EDGE_MARGIN_BARK, own = core[band] ?? 0;
    const column = Math.min(Math.max(band - 1, 0), 7);
    while (loudness > own && place < edge) {
      const [limit, slopes] = slopeRow(loudness);
      const steepness = slopes[column]!;
      const floor = Math.max(limit, own);
      const bottom = place + (loudness - floor) / steepness;
      const to = Math.min(bottom, edge);
      pieces.push({ from: place, to, start: loudness, steepness });
      loudness = bottom <= edge ? floor : loudness - (to - place) * steepness;
      place = to;
    }
    if (place < edge) {
      pieces.push({ from: place, to: edge, start: own, steepness: 0 });
      place = edge;
      loudness = own;
    }
  }
  return pieces;
}

/**
 * Loudness of a steady sound from its third-octave levels, by ISO 532-1 (Zwicker).
 *
 * @param levelsDbSpl 28 band levels in dB SPL, 25 Hz to 12.5 kHz; `-Infinity` is silence. For tones use
 * {@linkcode thirdOctaveLevels}, since a tone put into one band alone comes out too soft
 * @param options sound field
 * @returns sones, phons, and 240 values of specific loudness
 * @throws {InputError} when there are not 28 levels or the field is unknown
 * @throws {InputError} when a level is not a number, or above 120 dB in the bands up to 250 Hz
 *
 * Source: ISO 532-1:2017, method for stationary sounds. The sum is not rounded.
 *
 * @example
 * ```ts
 * import { zwickerLoudness } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * const flat = zwickerLoudness(Array(28).fill(60));
 * assertAlmostEquals(flat.sones, 31.94, 0.01);
 * ```
 */
export function zwickerLoudness(
  levelsDbSpl: ArrayLike<number>,
  options: ZwickerOptions = {},
): ZwickerLoudness {
  checkArgument("compute loudness", levelsDbSpl, AN_ARRAY);
  checkOptions("compute loudness", options, { field: oneOf(["free", "diffuse"]) });
  const { field = "free" } = options;
  if (levelsDbSpl.length !== ZWICKER_BANDS) {
    throw refusal(
      "compute loudness",
      `there are ${levelsDbSpl.length} band levels`,
      `Give ${ZWICKER_BANDS}, 25 Hz to 12.5 kHz`,
    );
  }
  for (let i = 0; i < ZWICKER_BANDS; i++) {
    if (!(levelsDbSpl[i]! <= 200)) {
      throw refusal("compute loudness", `a band has ${levelsDbSpl[i]} dB`, "Give numbers of 200 or less");
    }
  }
  const pieces = loudnessPattern(coreLoudness(criticalBandLevels(levelsDbSpl), field));
  let sones = 0;
  const specific = new Float64Array(240);
  let sample = 0;
  for (const { from, to, start, steepness } of pieces) {
    sones += (to - from) * (start - (to - from) * steepness / 2);
    for (; sample < 240 && (sample + 1) / 10 <= to; sample++) {
      specific[sample] = Math.max(0, start - ((sample + 1) / 10 - from) * steepness);
    }
  }
  return { sones, phon: phonOf(sones), specific };
}

function phonOf(sones: number): number {
  if (sones >= 1) return 40 + 10 * Math.log2(sones);
  return Math.max(3, 40 * (sones + 0.0005) ** 0.35);
}
