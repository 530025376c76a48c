import { A_FILTER_GRID, AN_ARRAY, checkArgument, checkOptions, oneOf } from "../../base/arguments.ts";
import { powerOfDb } from "../decibels.ts";
import { earTransferDb, SOUND_FIELDS, type SoundField } from "./ear_transfer.ts";
import { erbHz } from "./erb.ts";
import { type ErbGrid, erbGrid } from "./erb_grid.ts";
import { checkComponents, refusal } from "../refusal.ts";

/** How {@linkcode componentExcitation} spreads components over the filters. */
export interface ComponentExcitationOptions {
  /** How the sound arrives. @default {"free"} */
  readonly field?: SoundField;
  /**
   * Power per filter bandwidth of everything else that sounds at the same time, in the inner ear: one value per
   * filter of the grid, as {@linkcode erbPower} returns them. The filters' lower slopes grow shallower with
   * it, as they do in the ear. Left out, the slopes follow the components' own level alone.
   */
  readonly surroundings?: Float64Array;
}

/** How {@linkcode excitationPattern} evaluates a sound. */
export interface ExcitationPatternOptions {
  /** How the sound arrives. @default {"free"} */
  readonly field?: SoundField;
  /** The filters; the standard's spacing of 0.1 Cam when left out. */
  readonly grid?: ErbGrid;
}

/** What a sound does along the inner ear. */
export interface ExcitationPattern {
  /** The filters. */
  readonly grid: ErbGrid;
  /** Output of each filter as power relative to that of a 1 kHz tone at 0 dB; one value per filter. */
  readonly excitation: Float64Array;
}

const A_FIELD = oneOf(SOUND_FIELDS);

/** Slope figures at 1 kHz and 51 dB: `4 x 1000 / ERB(1000)`. Source: ISO 532-2:2017. */
const P51_AT_1_KHZ = 4000 / erbHz(1000);
/** Change of the lower slope per dB. Source: ISO 532-2:2017. */
const SLOPE_PER_DB = 0.35;
/** Level at which both slopes are equal, in dB per bandwidth. Source: ISO 532-2:2017. */
const REFERENCE_LEVEL_DB = 51;
/** Shallowest lower slope, as a share of that at 51 dB. Model assumption: reached near 136 dB per bandwidth. */
const SHALLOWEST = 0.02;
/** Distance, in slope units, beyond which a filter passes less than -150 dB. */
export const FAR = 40;

/** Share of the power that a filter passes at a distance in slope units. */
export function passes(x: number): number {
  return (1 + x) * Math.exp(-x);
}

/** Components that reach the inner ear, and their power there. */
interface Heard {
  readonly count: number;
  readonly hz: Float64Array;
  readonly power: Float64Array;
}

function heardComponents(
  frequenciesHz: ArrayLike<number>,
  levelsDbSpl: ArrayLike<number>,
  field: SoundField,
): Heard {
  checkComponents("excite the ear", frequenciesHz, { levels: levelsDbSpl });
  const n = frequenciesHz.length;
  const hz = new Float64Array(n), power = new Float64Array(n);
  let count = 0;
  for (let i = 0; i < n; i++) {
    const f = frequenciesHz[i]!, level = levelsDbSpl[i]!;
    if (!(f >= 0) || !(level < 200)) {
      throw refusal(
        "excite the ear",
        `there are ${level} dB at ${f} Hz`,
        "Give frequencies of 0 Hz or more and levels under 200 dB",
      );
    }
    const p = powerOfDb(level + earTransferDb(f, field));
    if (p === 0) continue;
    hz[count] = f;
    power[count++] = p;
  }
  return { count, hz, power };
}

/** Value of a per-filter array between filters. */
function readGrid(grid: ErbGrid, values: Float64Array, hz: number): number {
  const first = grid.centresCam[0]!;
  const place = (21.366 * Math.log10(0.004368 * hz + 1) - first) / grid.stepCam;
  const last = values.length - 1;
  if (place <= 0) return values[0]!;
  if (place >= last) return values[last]!;
  const i = Math.floor(place), t = place - i;
  return values[i]! * (1 - t) + values[i + 1]! * t;
}

/** Lower slope at each component as a share of that at 51 dB, from the level per bandwidth around it. */
function lowerSlopes(heard: Heard, grid: ErbGrid, surroundings: Float64Array | undefined): Float64Array {
  const { count, hz, power } = heard;
  const slopes = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const f = hz[i]!, scale = 4 / erbHz(f);
    let sum = surroundings ? readGrid(grid, surroundings, f) : 0;
    for (let j = 0; j < count; j++) {
      const x = Math.abs(hz[j]! - f) * scale;
      if (x < FAR) sum += passes(x) * power[j]!;
    }
    slopes[i] = lowerSlope(10 * Math.log10(sum));
  }
  return slopes;
}

/** Slope of a filter's lower side where the sound has a level, as a share of the slope at 51 dB. */
export function lowerSlope(levelDb: number): number {
  return Math.max(SHALLOWEST, 1 - SLOPE_PER_DB / P51_AT_1_KHZ * (levelDb - REFERENCE_LEVEL_DB));
}

/**
 * Excitation of the ear's filters by the components of one note (or any group), ready to be kept and added.
 *
 * Excitations of different notes add in power, so a note is worked out once and a whole texture is a weighted
 * sum. What is given up is that each note's slopes follow its own level (and `surroundings`, if given) rather
 * than the level of everything together. Against the exact evaluation, over 150 chords of 3 to 27 notes on 74
 * filters, the loudness of the whole is then at most 1.3 % off (0.2 % with `surroundings`), and the partial
 * loudness of one note at most 0.9 % of the whole's sones (0.3 %). Of its own sones that can be 10 % where the note
 * is half masked; 149 filters (a step of 0.25) with `surroundings` keep that to 2.5 %.
 *
 * @param grid the filters
 * @param frequenciesHz frequency of each component in Hz; those outside 20 Hz to 20 kHz excite nothing
 * @param levelsDbSpl level of each component in dB SPL; `-Infinity` is silence
 * @param options sound field and surroundings
 * @returns one power per filter, relative to that of a 1 kHz tone at 0 dB
 * @throws {InputError} when the arrays differ in length or the field is unknown
 * @throws {InputError} when a frequency is negative or a level is 200 dB or more, or either is not a number
 *
 * Source: rounded-exponential filters with level-dependent lower slope, Moore, Glasberg and Baer 1997 (J. Audio
 * Eng. Soc. 45, 224-240), with the figures of ISO 532-2:2017.
 *
 * @example
 * ```ts
 * import { componentExcitation, erbGrid } from "ripieno/hearing";
 * import { assertAlmostEquals } from "@std/assert";
 * const grid = erbGrid({ stepCam: 0.5 });
 * const tone = componentExcitation(grid, [1000], [60]);
 * assertAlmostEquals(10 * Math.log10(Math.max(...tone)), 60, 1);
 * ```
 */
export function componentExcitation(
  grid: ErbGrid,
  frequenciesHz: ArrayLike<number>,
  levelsDbSpl: ArrayLike<number>,
  options: ComponentExcitationOptions = {},
): Float64Array {
  checkArgument("excite the ear", grid, A_FILTER_GRID);
  checkOptions("excite the ear", options, { field: A_FIELD, surroundings: AN_ARRAY });
  const { field = "free", surroundings } = options;
  if (surroundings && surroundings.length !== grid.centresHz.length) {
    throw refusal(
      "excite the ear",
      `the surroundings have ${surroundings.length} filters, the grid ${grid.centresHz.length}`,
      "Give an excitation on the same grid",
    );
  }
  const heard = heardComponents(frequenciesHz, levelsDbSpl, field);
  const slopes = lowerSlopes(heard, grid, surroundings);
  const { centresHz, bandwidthsHz } = grid;
  const excitation = new Float64Array(centresHz.length);
  for (let i = 0; i < heard.count; i++) {
    const f = heard.hz[i]!, power = heard.power[i]!, slope = slopes[i]!;
    for (let c = 0; c < centresHz.length; c++) {
      const centre = centresHz[c]!;
      // A component above the filter meets its upper side, one below it the lower side.
      const above = f > centre;
      if (above && f > 5 * centre) continue;
      const x = 4 * Math.abs(f - centre) / bandwidthsHz[c]! * (above ? 1 : slope);
      if (x < FAR) excitation[c]! += passes(x) * power;
    }
  }
  return excitation;
}

/**
 * Power per filter bandwidth, with filters whose slopes do not change with level: what
 * {@linkcode componentExcitation} takes as `surroundings`. It adds over notes.
 *
 * @param grid the filters
 * @param frequenciesHz frequency of each component in Hz
 * @param levelsDbSpl level of each component in dB SPL
 * @param options sound field
 * @returns one power per filter, in the inner ear
 * @throws {InputError} when the arrays differ in length or the field is unknown
 * @throws {InputError} when a frequency is negative or a level is 200 dB or more, or either is not a number
 *
 * @example
 * ```ts
 * import { componentExcitation, erbGrid, erbPower } from "ripieno/hearing";
 * import { assert } from "@std/assert";
 * const grid = erbGrid();
 * const surroundings = erbPower(grid, [500, 1000], [90, 90]);
 * const alone = componentExcitation(grid, [510], [60]);
 * const among = componentExcitation(grid, [510], [60], { surroundings });
 * assert(among[200]! > alone[200]!); // in loud company the same tone spreads further up
 * ```
 */
export function erbPower(
  grid: ErbGrid,
  frequenciesHz: ArrayLike<number>,
  levelsDbSpl: ArrayLike<number>,
  options: Pick<ComponentExcitationOptions, "field"> = {},
): Float64Array {
  checkArgument("excite the ear", grid, A_FILTER_GRID);
  checkOptions("excite the ear", options, { field: A_FIELD });
  const { field = "free" } = options;
  const heard = heardComponents(frequenciesHz, levelsDbSpl, field);
  const { centresHz, bandwidthsHz } = grid;
  const result = new Float64Array(centresHz.length);
  for (let i = 0; i < heard.count; i++) {
    for (let c = 0; c < centresHz.length; c++) {
      const x = 4 * Math.abs(heard.hz[i]! - centresHz[c]!) / bandwidthsHz[c]!;
      if (x < FAR) result[c]! += passes(x) * heard.power[i]!;
    }
  }
  return result;
}

/**
 * Excitation pattern of a whole sound: how strongly each place along the inner ear answers. The slopes of the
 * filters follow the level of all components together, as the standard has it.
 *
 * @param frequenciesHz frequency of each component in Hz
 * @param levelsDbSpl level of each component in dB SPL; `-Infinity` is silence
 * @param options sound field and filters
 * @returns the filters and one power per filter
 * @throws {InputError} when the arrays differ in length or the field is unknown
 * @throws {InputError} when a frequency is negative or a level is 200 dB or more, or either is not a number
 *
 * Source: ISO 532-2:2017.
 *
 * @example
 * ```ts
 * import { excitationPattern } from "ripieno/hearing";
 * import { assertEquals } from "@std/assert";
 * const { grid, excitation } = excitationPattern([1000, 2000], [60, 60]);
 * assertEquals(excitation.length, grid.centresHz.length);
 * ```
 */
export function excitationPattern(
  frequenciesHz: ArrayLike<number>,
  levelsDbSpl: ArrayLike<number>,
  options: ExcitationPatternOptions = {},
): ExcitationPattern {
  checkOptions("excite the ear", options, { field: A_FIELD, grid: A_FILTER_GRID });
  const { field = "free", grid = erbGrid() } = options;
  return { grid, excitation: componentExcitation(grid, frequenciesHz, levelsDbSpl, { field }) };
}
