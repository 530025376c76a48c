import { type Kind, oneOf } from "../../base/arguments.ts";
import { memoOf } from "../../base/memo.ts";
import type { ErbGrid } from "./erb_grid.ts";
import { interpolate, type TableRows } from "../interpolate.ts";

/**
 * Which published figures turn excitation into loudness: `ansi2007` (Moore, Glasberg and Baer 1997 as in ANSI
 * S3.4-2007) or `iso532_2` (ISO 532-2:2017). They differ in thresholds, in scale and in how two ears add; a
 * result of one must not be compared with a result of the other.
 */
export type LoudnessModel = "ansi2007" | "iso532_2";

/** The single figures of one loudness model. */
interface LoudnessFigures {
  /** Sones per Cam and unit of compressed excitation, for one ear. */
  readonly scale: number;
  /** Excitation at the threshold of hearing at and above 500 Hz, in dB. */
  readonly thresholdDb: number;
  /** The constant A at and above 500 Hz. */
  readonly offset: number;
  /** Loudness of the same sound at both ears over that at one ear. */
  readonly bothEars: number;
  readonly source: string;
}

/** The loudness models' figures by name. */
export const LOUDNESS_FIGURES: Readonly<Record<LoudnessModel, LoudnessFigures>> = {
  ansi2007: {
    scale: 0.046871,
    thresholdDb: 3.73,
    offset: 4.72096,
    bothEars: 2,
    source: "ANSI S3.4-2007; Moore, Glasberg and Baer, J. Audio Eng. Soc. 45 (1997) 224-240",
  },
  iso532_2: {
    scale: 0.0617,
    thresholdDb: 3.15,
    offset: 4.13,
    bothEars: 1.5,
    source: "ISO 532-2:2017",
  },
};

/** Gain of the inner ear's amplifier relative to 500 Hz, in dB, by Hz. Source: ISO 532-2:2017, Table 2. */
const GAIN_DB: TableRows = [
  [50, -24.31],
  [63, -20.3],
  [80, -15.32],
  [100, -11.98],
  [125, -8.82],
  [160, -6.19],
  [200, -4.28],
  [250, -2.6],
  [315, -1.58],
  [400, -0.77],
  [500, 0],
];

/** Exponent by gain in dB. Source: ISO 532-2:2017, Table 3. */
const EXPONENT: TableRows = [[-25, 0.26692], [-20, 0.25016], [-15, 0.23679], [-10, 0.22228], [-5, 0.21055], [
  0,
  0.2,
]];

/**
 * Signal-to-noise ratio at masked threshold in dB, by Hz. Source: Moore, Glasberg and Baer 1997, Fig. 9, read by
 * eye in a public implementation (a fit of fourth degree); -3 dB from 1 kHz up is printed.
 */
const MASKING_DB: TableRows = [
  [50, 13.504],
  [63, 10.039],
  [80, 7.125],
  [100, 4.919],
  [125, 3.127],
  [160, 1.543],
  [200, 0.403],
  [250, -0.513],
  [315, -1.269],
  [400, -1.884],
  [500, -2.328],
  [630, -2.67],
  [800, -2.9],
  [1000, -3],
];

/** What one filter does with its excitation, filter by filter. */
export interface FilterConstants {
  readonly figures: LoudnessFigures;
  /** Excitation at the threshold of hearing, as power. */
  readonly threshold: Float64Array;
  /** Gain G as a factor. */
  readonly gain: Float64Array;
  /** Exponent alpha. */
  readonly exponent: Float64Array;
  /** Constant A. */
  readonly offset: Float64Array;
  /** `A ** alpha`. */
  readonly offsetRaised: Float64Array;
  /** Signal-to-noise ratio K at masked threshold, as a factor. */
  readonly masking: Float64Array;
  /** `(G E + A) ** alpha - A ** alpha` at the threshold of hearing. */
  readonly atThreshold: Float64Array;
  /** The same at an excitation of 100 dB, where the steeper growth of very loud sounds begins. */
  readonly atLoud: Float64Array;
}

/** Excitation above which loudness grows as its fifth root, as power (100 dB). Source: ISO 532-2:2017. */
const LOUD_EXCITATION = 1e10;

/**
 * The constant A that belongs to an exponent, from the model's own condition that a sound at its threshold is
 * equally loud at every frequency (Moore, Glasberg and Baer 1997): found by halving.
 */
export function offsetFor(exponent: number, figures: LoudnessFigures): number {
  const threshold = 10 ** (figures.thresholdDb / 10);
  const growth = (a: number, alpha: number) => (threshold + a) ** alpha - a ** alpha;
  const wanted = growth(figures.offset, 0.2);
  let low = 1, high = 100; // the growth falls as A rises
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (growth(middle, exponent) > wanted) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** The models by name, as options take them. */
export const A_MODEL: Kind = oneOf(Object.keys(LOUDNESS_FIGURES));

/**
 * Constants of every filter of a grid, worked out once per grid and model.
 *
 * Source: ISO 532-2:2017, Tables 2 and 3. Model assumption: the same gains and exponents below 500 Hz serve both
 * models, each with its own threshold at 500 Hz.
 */
export function filterConstants(grid: ErbGrid, model: LoudnessModel): FilterConstants {
  return constantsOf[model](grid);
}

const constantsOf: Readonly<Record<LoudnessModel, (grid: ErbGrid) => FilterConstants>> = {
  ansi2007: memoOf((grid) => makeConstants(grid, LOUDNESS_FIGURES.ansi2007)),
  iso532_2: memoOf((grid) => makeConstants(grid, LOUDNESS_FIGURES.iso532_2)),
};

function makeConstants(grid: ErbGrid, figures: LoudnessFigures): FilterConstants {
  const gainDb = grid.centresHz.map((hz) => interpolate(GAIN_DB, hz));
  const gain = gainDb.map((db) => 10 ** (db / 10));
  const threshold = gainDb.map((db) => 10 ** ((figures.thresholdDb - db) / 10));
  const exponent = gainDb.map((db) => interpolate(EXPONENT, db));
  const offset = exponent.map((alpha) => offsetFor(alpha, figures));
  const offsetRaised = offset.map((a, c) => a ** exponent[c]!);
  const growth = (excitation: number, c: number) =>
    (gain[c]! * excitation + offset[c]!) ** exponent[c]! - offsetRaised[c]!;
  return {
    figures,
    threshold,
    gain,
    exponent,
    offset,
    offsetRaised,
    masking: grid.centresHz.map((hz) => 10 ** (interpolate(MASKING_DB, hz) / 10)),
    atThreshold: threshold.map(growth),
    atLoud: threshold.map((_, c) => growth(LOUD_EXCITATION, c)),
  };
}

/**
 * Compressed excitation of one filter, before the model's scale and without the drop below threshold.
 *
 * Up to 100 dB it is `(G E + A) ** alpha - A ** alpha`; above, it grows with the fifth root of the excitation
 * from its value at 100 dB, so that it never steps. (The printed form, `(E / 1.0707) ** 0.2`, is 0.03 % away at
 * and above 500 Hz and up to 3 % below that.)
 */
export function compressed(constants: FilterConstants, filter: number, excitation: number): number {
  if (excitation > LOUD_EXCITATION) {
    return constants.atLoud[filter]! * (excitation / LOUD_EXCITATION) ** 0.2;
  }
  return (constants.gain[filter]! * excitation + constants.offset[filter]!) ** constants.exponent[filter]! -
    constants.offsetRaised[filter]!;
}
