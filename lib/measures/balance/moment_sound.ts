/** One moment as the ear has it: which layer is how strong in which band. */
// @ts-types="@types/d3-array"
import { sum } from "d3-array";
import { A_NUMBER, checkOptions } from "../../base/arguments.ts";
import { powerOfDb } from "../../hearing/decibels.ts";
import { loudnessSones, quiet } from "../../hearing/model/loudness.ts";
import { compressed, filterConstants } from "../../hearing/model/loudness_constants.ts";
import { partial } from "../../hearing/model/partial_loudness.ts";
import { atPlace, InputError } from "../../base/errors.ts";
import { barBeatOf } from "../../score/time.ts";
import type { Score } from "../../score/model.ts";
import { BALANCE_OPTIONS, type BalanceOptions } from "./balance_options.ts";
import { partsInWords } from "../layer_words.ts";
import { checkedBars, type Listening, listeningTo } from "./listening.ts";
import type { EarGrid } from "./ear_grid.ts";
import { excitationsOf, scaled } from "./heard.ts";
import type { MomentLayer, MomentSpan } from "./moment.ts";
import type { MomentBand, MomentSound, MomentSoundLayer } from "./balance_results.ts";

/** Options of {@linkcode momentSound}. */
export interface MomentSoundOptions extends BalanceOptions {
  /** Which bar, index from 0. */
  readonly barIndex: number;
  /** Which beat, from 1, in units of the time signature's lower figure; fractions lie between. By default the bar's first. */
  readonly beat?: number;
  /** How many beats are taken together. Default 1. */
  readonly beats?: number;
}

/** Excitation under this level, in dB, is written as this: far below the threshold of hearing everywhere. */
const FLOOR_DB = -20;

const ACTION = "look at one moment";
const OPTIONS = { ...BALANCE_OPTIONS, barIndex: A_NUMBER, beat: A_NUMBER, beats: A_NUMBER };

/**
 * What the ear gets of each layer at one moment: its excitation along the filters of the inner ear, and the loudness
 * of each filter alone and beside the other layers. The layer with the most of a band is the one that occupies it.
 *
 * Layers are taken at their mean power while they sound in the stretch; what sounds in it only one after another is
 * judged as if together. A layer that doubles the lead counts as a layer of its own, though `balance` lets it merge with
 * the lead. For each layer the others count weaker by `twoEarsDb`, as the rest does for the lead in `balance`.
 *
 * @param score the score
 * @param options bar, beat, texture and constants
 * @returns layers, the loudest first, and a row for each layer and filter
 * @throws {InputError} when there is no such bar or beat, or an option is unknown
 *
 * Source: excitation and specific loudness, Moore, Glasberg and Baer 1997 (J. Audio Eng. Soc. 45, 224-240).
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { momentSound } from "ripieno/measures";
 * import { assertAlmostEquals } from "@std/assert";
 * const { layers, bands } = momentSound(demoScore(), { barIndex: 16 });
 * const lead = layers.find((l) => l.role === "lead")!;
 * const own = bands.filter((b) => b.layer === lead.layer);
 * const step = own[1]!.cam - own[0]!.cam;
 * assertAlmostEquals(own.reduce((sum, b) => sum + b.heardSonesPerCam * step, 0), lead.partialSones, 1e-9);
 * ```
 */
export function momentSound(score: Score, options: MomentSoundOptions): MomentSound {
  checkOptions(ACTION, options, OPTIONS);
  const { barIndex, beat: asked, beats = 1, ...rest } = options;
  if (barIndex === undefined) {
    throw new InputError({
      action: ACTION,
      problem: "no bar is given",
      remedy: "Give its index from 0: { barIndex: 0 }",
    });
  }
  checkedBars(ACTION, score, { fromBarIndex: barIndex, toBarIndex: barIndex });
  const listening = listeningTo(score, rest);
  const { startTicks } = score.bars[barIndex]!;
  const first = barBeatOf(score, startTicks).beat;
  const beat = asked ?? first;
  const span = spanOf(score, barIndex, { beat, beats });
  return atPlace({ bar: score.bars[barIndex]!.number }, () => ({
    barIndex,
    bar: score.bars[barIndex]!.number,
    beat,
    onsetSeconds: listening.clock(span.from),
    ...soundOf(listening.moments.momentOf(barIndex, span), listening),
  }));
}

/** Some beats of a bar in ticks. */
function spanOf(
  score: Score,
  barIndex: number,
  { beat, beats }: { readonly beat: number; readonly beats: number },
): MomentSpan {
  const { startTicks, durationTicks, beatUnit, number } = score.bars[barIndex]!;
  const beatTicks = score.ticksPerQuarter * 4 / beatUnit;
  const first = barBeatOf(score, startTicks).beat;
  const from = startTicks + (beat - first) * beatTicks;
  const to = Math.min(startTicks + durationTicks, from + beats * beatTicks);
  if (from >= startTicks && from < to) return { from, to };
  throw new InputError({
    action: ACTION,
    problem: `bar index ${barIndex} has no beat ${beat}, or beats is ${beats}`,
    where: { bar: number },
    remedy: `Give a beat from ${first} to ${
      barBeatOf(score, startTicks + durationTicks - 1).beat.toFixed(0)
    } and at least a part of one`,
  });
}

function soundOf(
  moment: readonly MomentLayer[],
  { score, sounds: { grid }, settings }: Listening,
): Pick<MomentSound, "wholeSones" | "layers" | "bands"> {
  const covering = powerOfDb(-settings.twoEarsDb);
  const excitations = excitationsOf(grid, moment.map((l) => l.all));
  const bands = moment.map((layer, own) => bandsOf(layer, { excitations, own, grid, covering }));
  const layers = moment.map((layer, i): MomentSoundLayer => {
    const sones = (of: (band: MomentBand) => number) => sum(bands[i]!, (band) => of(band) * grid.stepCam);
    const aloneSones = sones((b) => b.aloneSonesPerCam);
    const partialSones = sones((b) => b.heardSonesPerCam);
    return {
      layer: layer.id,
      role: layer.role,
      parts: partsInWords(score, layer.parts.map(({ part }) => part)),
      aloneSones,
      partialSones,
      audibleShare: aloneSones > 0 ? Math.min(1, partialSones / aloneSones) : 0,
    };
  }).sort((a, b) => b.partialSones - a.partialSones || a.layer.localeCompare(b.layer));
  const whole = sumOf(excitations, grid.centresHz.length);
  return { wholeSones: loudnessSones(grid, whole), layers, bands: bands.flat() };
}

/** Excitation of all layers together. */
function sumOf(excitations: readonly Float64Array[], size: number): Float64Array {
  const sum = new Float64Array(size);
  for (const excitation of excitations) for (let c = 0; c < size; c++) sum[c]! += excitation[c]!;
  return sum;
}

/** One layer along the filters, alone and beside the others. */
function bandsOf(
  layer: MomentLayer,
  { excitations, own: index, grid, covering }: {
    readonly excitations: readonly Float64Array[];
    readonly own: number;
    readonly grid: EarGrid;
    readonly covering: number;
  },
): readonly MomentBand[] {
  const constants = filterConstants(grid, "ansi2007");
  const { scale, bothEars } = constants.figures;
  const others = sumOf(excitations.filter((_, i) => i !== index), grid.centresHz.length)
    .map((x) => x * covering);
  const [quietly] = excitationsOf(grid, [scaled(layer.all, 1 / layer.soundingShare)]);
  return [...excitations[index]!].map((mean, c): MomentBand => {
    const own = mean / layer.soundingShare;
    const alone = quiet(constants, c, quietly![c]!);
    const beside = others[c]! > 0
      ? partial(constants, c, own, others[c]!, compressed(constants, c, own + others[c]!))
      : quiet(constants, c, own);
    return {
      layer: layer.id,
      role: layer.role,
      cam: grid.centresCam[c]!,
      hz: grid.centresHz[c]!,
      levelDb: own > 0 ? Math.max(FLOOR_DB, 10 * Math.log10(own)) : FLOOR_DB,
      aloneSonesPerCam: alone * scale * bothEars,
      heardSonesPerCam: beside * scale * bothEars,
    };
  });
}
