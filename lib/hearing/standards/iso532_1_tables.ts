// Figures of the stationary method of ISO 532-1:2017 (Zwicker), which are those of the program in Zwicker,
// Fastl, Widmann, Kurakata, Kuwano and Namba, J. Acoust. Soc. Jpn (E) 12 (1991) 39-42.

/** A range of values by its limit, and the figures that hold in it. */
type RangeRow = readonly [limit: number, figures: readonly number[]];

/**
 * Upper limit in dB of each range of weighted level, and in it the corrections of the third-octave bands from 25 Hz to
 * 250 Hz in dB.
 */
export const LOW_BAND_CORRECTIONS_DB: readonly RangeRow[] = [
  [45, [-32, -24, -16, -10, -5, 0, -7, -3, 0, -2, 0]],
  [55, [-29, -22, -15, -10, -4, 0, -7, -2, 0, -2, 0]],
  [65, [-27, -19, -14, -9, -4, 0, -6, -2, 0, -2, 0]],
  [71, [-25, -17, -12, -9, -3, 0, -5, -2, 0, -2, 0]],
  [80, [-23, -16, -11, -7, -3, 0, -4, -1, 0, -1, 0]],
  [90, [-20, -14, -10, -6, -3, 0, -4, -1, 0, -1, 0]],
  [100, [-18, -12, -9, -6, -2, 0, -3, -1, 0, -1, 0]],
  [120, [-15, -10, -8, -4, -2, 0, -3, -1, 0, -1, 0]],
];

/** One critical band. */
type CriticalBand = readonly [
  upperEdgeBark: number,
  thresholdDb: number,
  transmissionDb: number,
  diffuseFieldDb: number,
  bandwidthDb: number,
];

/**
 * The twenty critical bands: upper edge in Bark; threshold in quiet; level lost on the way to the inner ear in a free
 * field; level that a diffuse field adds to that; difference in width between third-octave bands and critical bands.
 * Levels in dB.
 */
export const CRITICAL_BANDS: readonly CriticalBand[] = [
  [0.9, 30, 0, 0, -0.25],
  [1.8, 18, 0, 0, -0.6],
  [2.8, 12, 0, 0.5, -0.8],
  [3.5, 8, 0, 0.9, -0.8],
  [4.4, 7, 0, 1.2, -0.5],
  [5.4, 6, 0, 1.6, 0],
  [6.6, 5, 0, 2.3, 0.5],
  [7.9, 4, 0, 2.8, 1.1],
  [9.2, 3, 0, 3, 1.5],
  [10.6, 3, 0, 2, 1.7],
  [12.3, 3, -0.5, 0, 1.8],
  [13.8, 3, -1.6, -1.4, 1.8],
  [15.2, 3, -3.2, -2, 1.7],
  [16.7, 3, -5.4, -1.9, 1.6],
  [18.1, 3, -5.6, -1, 1.4],
  [19.3, 3, -4, 0.5, 1.2],
  [20.6, 3, -1.5, 3, 0.8],
  [21.8, 3, 2, 4, 0.5],
  [22.7, 3, 5, 4.3, 0],
  [23.6, 3, 12, 4, -0.5],
];

/** Where the scale ends, in Bark. */
export const LAST_EDGE_BARK = 24;

/**
 * Lower limit in sone/Bark of each range of specific loudness, and in it the steepness of the upper slopes in sone/Bark
 * per Bark: one figure per band, the last for 8 on.
 */
export const SLOPES: readonly RangeRow[] = [
  [21.5, [13, 8.2, 6.3, 5.5, 5.5, 5.5, 5.5, 5.5]],
  [18, [9, 7.5, 6, 5.1, 4.5, 4.5, 4.5, 4.5]],
  [15.1, [7.8, 6.7, 5.6, 4.9, 4.4, 3.9, 3.9, 3.9]],
  [11.5, [6.2, 5.4, 4.6, 4, 3.5, 3.2, 3.2, 3.2]],
  [9, [4.5, 3.8, 3.6, 3.2, 2.9, 2.7, 2.7, 2.7]],
  [6.1, [3.7, 3, 2.8, 2.35, 2.2, 2.2, 2.2, 2.2]],
  [4.4, [2.9, 2.3, 2.1, 1.9, 1.8, 1.7, 1.7, 1.7]],
  [3.1, [2.4, 1.7, 1.5, 1.35, 1.3, 1.3, 1.3, 1.3]],
  [2.13, [1.95, 1.45, 1.3, 1.15, 1.1, 1.1, 1.1, 1.1]],
  [1.36, [1.5, 1.2, 0.94, 0.86, 0.82, 0.82, 0.82, 0.82]],
  [0.82, [0.72, 0.67, 0.64, 0.63, 0.62, 0.62, 0.62, 0.62]],
  [0.42, [0.59, 0.53, 0.51, 0.5, 0.42, 0.42, 0.42, 0.42]],
  [0.3, [0.4, 0.33, 0.26, 0.24, 0.24, 0.22, 0.22, 0.22]],
  [0.22, [0.27, 0.21, 0.2, 0.18, 0.17, 0.17, 0.17, 0.17]],
  [0.15, [0.16, 0.15, 0.14, 0.12, 0.11, 0.11, 0.11, 0.11]],
  [0.1, [0.12, 0.11, 0.1, 0.08, 0.08, 0.08, 0.08, 0.08]],
  [0.035, [0.09, 0.08, 0.07, 0.06, 0.06, 0.06, 0.06, 0.05]],
  [0, [0.06, 0.05, 0.03, 0.02, 0.02, 0.02, 0.02, 0.02]],
];
