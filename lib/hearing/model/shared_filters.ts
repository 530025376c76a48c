import { memoOf } from "../../base/memo.ts";
import { powerOfDb } from "../decibels.ts";
import { earTransferDb, type SoundField, TRANSFER_RANGE_HZ } from "./ear_transfer.ts";
import { camOf, erbHz, hzOfCam } from "./erb.ts";
import type { ErbGrid } from "./erb_grid.ts";
import { FAR, lowerSlope, passes } from "./excitation.ts";

/**
 * Power of a sound in the inner ear, gathered in bins of 0.1 Cam: what the fast evaluation keeps of a note. Only
 * bins that hold something are listed.
 */
export interface BinnedSound {
  /** Bin indexes, rising. */
  readonly bins: Uint16Array;
  /** Power in each, relative to that of a 1 kHz tone at 0 dB. */
  readonly power: Float64Array;
}

const BIN_CAM = 0.1;
const FIRST_CAM = camOf(TRANSFER_RANGE_HZ[0]);
/** How many bins there are between 20 Hz and 20 kHz. */
export const BIN_COUNT = Math.ceil((camOf(TRANSFER_RANGE_HZ[1]) - FIRST_CAM) / BIN_CAM) + 2;

/** Steps per slope unit in the table of the filters' shape; read along straight lines it is within 0.003 %. */
const SHAPE_STEPS = 64;
const SHAPE = Float64Array.from(
  { length: FAR * SHAPE_STEPS + 2 },
  (_, i) => passes(i / SHAPE_STEPS),
);
/** What each step of the table adds to the one before. */
const SHAPE_RISE = SHAPE.map((shape, k) => (SHAPE[k + 1] ?? shape) - shape);
/** What a filter would get less of than this is left out: 40 dB under the threshold of hearing. */
const NOTHING = 2e-4;

/** Shapes of the filters that do not change with level, per grid. */
interface FixedShapes {
  /** Per bin: where `around` begins, and what of each bin's power counts towards the level around this one. */
  readonly levelFrom: readonly number[];
  readonly levelShare: readonly Float64Array[];
  /** Per bin: first filter that it reaches from above, and what passes, up to the first filter above the bin. */
  readonly upperFrom: readonly number[];
  readonly upper: readonly Float64Array[];
  /** Per bin: first filter above the bin, and the distance of this and all further filters at a slope of 1. */
  readonly lowerFrom: readonly number[];
  readonly lower: readonly Float64Array[];
}

const binHz = Float64Array.from({ length: BIN_COUNT }, (_, b) => hzOfCam(FIRST_CAM + b * BIN_CAM));

/**
 * Gathers the components of a sound in bins. A component between two bins is shared by both. What lies outside 20 Hz
 * to 20 kHz is not heard.
 */
export function binnedSound(
  frequenciesHz: ArrayLike<number>,
  levelsDbSpl: ArrayLike<number>,
  field: SoundField,
): BinnedSound {
  const all = new Float64Array(BIN_COUNT);
  for (let i = 0; i < frequenciesHz.length; i++) {
    const hz = frequenciesHz[i]!;
    const own = powerOfDb(levelsDbSpl[i]! + earTransferDb(hz, field));
    if (!(own > 0)) continue;
    const place = (camOf(hz) - FIRST_CAM) / BIN_CAM;
    const bin = Math.min(BIN_COUNT - 2, Math.max(0, Math.floor(place)));
    const above = Math.min(1, Math.max(0, place - bin));
    all[bin]! += own * (1 - above);
    all[bin + 1]! += own * above;
  }
  let count = 0;
  for (let b = 0; b < BIN_COUNT; b++) if (all[b]! > 0) count++;
  const [bins, power] = [new Uint16Array(count), new Float64Array(count)];
  for (let b = BIN_COUNT - 1; b >= 0; b--) {
    if (all[b]! <= 0) continue;
    bins[--count] = b;
    power[count] = all[b]!;
  }
  return { bins, power };
}

/** Bins that hold something, rising, and their power; and what passes through each filter: lists that are taken again. */
const filled = new Uint16Array(BIN_COUNT);
const filledPower = new Float64Array(BIN_COUNT);
let passed = new Float64Array(0);

/** Notes which bins of some groups hold something, and says how many. */
function fillBins(groups: readonly Float64Array[]): number {
  let count = 0;
  for (let b = 0; b < BIN_COUNT; b++) {
    let power = 0;
    for (let g = 0; g < groups.length; g++) power += groups[g]![b]!;
    if (power <= 0) continue;
    filled[count] = b;
    filledPower[count++] = power;
  }
  return count;
}

/**
 * Excitation of several groups of sounds that are heard together: the slopes of the filters follow the level of all
 * of them, as the standard has it, so that the excitations add up to that of the whole.
 *
 * It is the exact evaluation with components moved to bins of 0.1 Cam and the filters' shape read from a table.
 *
 * @param grid the filters
 * @param groups power of each group in every bin
 * @param excitations lists to write into, one for each group; new ones by default
 */
export function excitationsTogether(
  grid: ErbGrid,
  groups: readonly Float64Array[],
  excitations: readonly Float64Array[] = groups.map(() => new Float64Array(grid.centresHz.length)),
): readonly Float64Array[] {
  const shapes = shapesOf(grid);
  const filters = grid.centresHz.length;
  if (passed.length < filters) passed = new Float64Array(filters);
  for (let g = 0; g < groups.length; g++) excitations[g]!.fill(0);
  const count = fillBins(groups);
  let near = 0;
  for (let f = 0; f < count; f++) {
    const b = filled[f]!, power = filledPower[f]!;
    while (filled[near]! < shapes.levelFrom[b]!) near++;
    const from = shapes.upperFrom[b]!, upper = shapes.upper[b]!, turn = shapes.lowerFrom[b]!;
    const least = NOTHING / power;
    const steps = lowerSlope(levelAround(b, shapes, { near, count })) * SHAPE_STEPS;
    const lower = shapes.lower[b]!;
    let reached = 0;
    for (; reached < lower.length; reached++) {
      const x = lower[reached]! * steps;
      const k = x | 0;
      if (k >= SHAPE.length - 1) break;
      const shape = SHAPE[k]! + (x - k) * SHAPE_RISE[k]!;
      if (shape < least) break;
      passed[reached] = shape;
    }
    for (let g = 0; g < groups.length; g++) {
      const own = groups[g]![b]!;
      if (own <= 0) continue;
      const excitation = excitations[g]!;
      for (let i = 0; i < upper.length; i++) excitation[from + i]! += upper[i]! * own;
      for (let i = 0; i < reached; i++) excitation[turn + i]! += passed[i]! * own;
    }
  }
  return excitations;
}

/** Level per filter bandwidth around a bin, in dB: of those that hold something, from `near` on, the ones within reach count. */
function levelAround(
  bin: number,
  shapes: FixedShapes,
  { near, count }: { readonly near: number; readonly count: number },
): number {
  const from = shapes.levelFrom[bin]!, share = shapes.levelShare[bin]!;
  const end = from + share.length;
  let sum = 0;
  for (let f = near; f < count && filled[f]! < end; f++) sum += filledPower[f]! * share[filled[f]! - from]!;
  return 10 * Math.log10(sum);
}

/** Slope units beyond which a fixed side is left out: -90 dB. */
const FIXED_FAR = 24;

const shapesOf = memoOf(({ centresHz, bandwidthsHz }: ErbGrid): FixedShapes => {
  const filters = centresHz.length;
  const shapes = {
    levelFrom: [] as number[],
    levelShare: [] as Float64Array[],
    upperFrom: [] as number[],
    upper: [] as Float64Array[],
    lowerFrom: [] as number[],
    lower: [] as Float64Array[],
  };
  for (let b = 0; b < BIN_COUNT; b++) {
    const hz = binHz[b]!, ownScale = 4 / erbHz(hz);
    const distance = (other: number) => Math.abs(binHz[other]! - hz) * ownScale;
    let first = b, last = b;
    while (first > 0 && distance(first - 1) < FIXED_FAR) first--;
    while (last < BIN_COUNT - 1 && distance(last + 1) < FIXED_FAR) last++;
    shapes.levelFrom.push(first);
    shapes.levelShare.push(
      Float64Array.from({ length: last - first + 1 }, (_, i) => passes(distance(first + i))),
    );
    let turn = 0;
    while (turn < filters && centresHz[turn]! < hz) turn++;
    const away = (c: number) => 4 * Math.abs(hz - centresHz[c]!) / bandwidthsHz[c]!;
    let reached = turn;
    while (reached > 0 && away(reached - 1) < FIXED_FAR) reached--;
    shapes.upperFrom.push(reached);
    shapes.upper.push(Float64Array.from({ length: turn - reached }, (_, i) => passes(away(reached + i))));
    shapes.lowerFrom.push(turn);
    shapes.lower.push(Float64Array.from({ length: filters - turn }, (_, i) => away(turn + i)));
  }
  return shapes;
});
