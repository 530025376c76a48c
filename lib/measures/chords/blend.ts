/** How well the parts of a layer fuse: how alike their colours are, and whether they begin together. */
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { A_NUMBER, A_TEXTURE, checkOptions } from "../../base/arguments.ts";
import { camOf } from "../../hearing/model/erb.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import { soundingNotes } from "../../score/build.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf, clockOf } from "../../score/time.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import type { Layer, Texture } from "../../texture/model.ts";
import { notePartials } from "./chord_partials.ts";
import { namesInWords } from "../layer_words.ts";
import { type BarsToHear, checkedBars } from "../balance/listening.ts";
import type { BlendRow } from "./chord_results.ts";

/** Constants of {@linkcode blend}, with their units and sources. */
export const BLEND_CONSTANTS = {
  togetherSeconds: {
    value: 0.03,
    unit: "seconds",
    source: "Rasch, Acustica 43 (1979) 121-131, recalled: players of an ensemble begin 30 to 50 ms apart",
    meaning: "onsets no further apart are heard as one",
  },
} as const;

/** Options of {@linkcode blend}. */
export interface BlendOptions extends BarsToHear {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Constants that differ from {@linkcode BLEND_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof BLEND_CONSTANTS>>;
}

/** What is known of one part of a layer. */
interface Voice {
  readonly name: string;
  readonly onsets: readonly number[];
  /** Power-weighted mean of its notes' centroids. */
  readonly centroidHz: number;
  readonly power: number;
}

const OPTIONS = { fromBarIndex: A_NUMBER, toBarIndex: A_NUMBER, texture: A_TEXTURE, constants: undefined };

/**
 * How well the parts of each layer fuse, by the two things that published work on blend names first: parts blend
 * where the centres of their spectra lie close together (and low), and where they begin their notes together.
 *
 * The centroid of a note is the mean frequency of its partials weighted by amplitude; that of a part is the mean over
 * its notes, weighted by power and length. Spread and synchrony are facts about the score; no single figure of blend
 * is made of them, since no published model gives their weights.
 *
 * @param score the score
 * @param options bars, texture and constants
 * @returns a row for each layer of two or more pitched parts, in order
 * @throws {InputError} when the bars are not in the score, or an option or constant is unknown
 *
 * Source: Sandell, Music Perception 13 (1995) 209-246, recalled: centroid difference, composite centroid, onsets.
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { blend } from "ripieno/measures";
 * import { assert } from "@std/assert";
 * const rows = blend(demoScore(), { fromBarIndex: 16, toBarIndex: 23 });
 * assert(rows.every((r) => r.centroidSpreadCam >= 0 && r.onsetSynchrony <= 1));
 * ```
 */
export function blend(score: Score, options: BlendOptions = {}): readonly BlendRow[] {
  const action = "work out blend";
  checkOptions(action, options, OPTIONS);
  const { fromBarIndex, toBarIndex } = checkedBars(action, score, options);
  const { togetherSeconds } = applySettings("blend", BLEND_CONSTANTS, options.constants);
  const texture = givenTexture(action, score, options.texture);
  const clock = clockOf(score);
  const notes = soundingNotes(score);
  const bars = notes.map((n) => barIndexOf(score, n.onsetTicks));
  const parts = score.parts.length;
  return texture.layers.flatMap((layer): BlendRow[] => {
    const [from, to] = [Math.max(fromBarIndex, layer.fromBarIndex), Math.min(toBarIndex, layer.toBarIndex)];
    const own = notes.filter((n, i) =>
      bars[i]! >= from && bars[i]! <= to && texture.cells[bars[i]! * parts + n.part]!.layer === layer.id
    );
    const voices = voicesOf(score, layer, own, clock);
    return voices.length < 2 ? [] : [rowOf(layer, voices, { from, to, togetherSeconds })];
  });
}

function voicesOf(
  score: Score,
  layer: Layer,
  notes: readonly Note[],
  clock: (ticks: number) => number,
): readonly Voice[] {
  const byPart = Map.groupBy(notes, (n) => n.part);
  return layer.parts.flatMap((part): Voice[] => {
    const { instrument, players, name } = score.parts[part]!;
    const played = (byPart.get(part) ?? []).map((n) => ({
      seconds: clock(n.onsetTicks + n.durationTicks) - clock(n.onsetTicks),
      ...centroidOf(n, instrument, players),
    })).filter((n) => n.power > 0);
    const energy = played.reduce((sum, n) => sum + n.power * n.seconds, 0);
    if (energy === 0) return [];
    const seconds = played.reduce((sum, n) => sum + n.seconds, 0);
    return [{
      name,
      onsets: [...new Set(byPart.get(part)!.map((n) => clock(n.onsetTicks)))],
      centroidHz: played.reduce((sum, n) => sum + n.hz * n.power * n.seconds, 0) / energy,
      power: energy / seconds,
    }];
  });
}

/** Centre of a note's spectrum, and its power in any one unit. */
function centroidOf(
  note: Note,
  instrument: string,
  players: number,
): { readonly hz: number; readonly power: number } {
  const { hz, amplitudes } = notePartials(note, instrumentById(instrument), players);
  const sum = amplitudes.reduce((acc, a) => acc + a, 0);
  return {
    hz: sum > 0 ? hz.reduce((acc, f, i) => acc + f * amplitudes[i]!, 0) / sum : 0,
    power: amplitudes.reduce((acc, a) => acc + a * a, 0),
  };
}

function rowOf(
  layer: Layer,
  voices: readonly Voice[],
  { from, to, togetherSeconds }: {
    readonly from: number;
    readonly to: number;
    readonly togetherSeconds: number;
  },
): BlendRow {
  const power = voices.reduce((sum, v) => sum + v.power, 0);
  const places = voices.map((v) => camOf(v.centroidHz));
  const mean = places.reduce((sum, c) => sum + c, 0) / places.length;
  const spread = Math.sqrt(places.reduce((sum, c) => sum + (c - mean) ** 2, 0) / places.length);
  const sorted = [...voices].sort((a, b) => a.centroidHz - b.centroidHz || a.name.localeCompare(b.name));
  return {
    layer: layer.id,
    role: layer.role,
    parts: namesInWords(voices.map((v) => v.name)),
    fromBarIndex: from,
    toBarIndex: to,
    centroidHz: voices.reduce((sum, v) => sum + v.centroidHz * v.power, 0) / power,
    centroidSpreadCam: spread,
    brightest: sorted.at(-1)!.name,
    darkest: sorted[0]!.name,
    onsetSynchrony: synchrony(voices.map((v) => v.onsets), togetherSeconds),
  };
}

/** Share of all onsets that coincide with one of another part. */
function synchrony(onsets: readonly (readonly number[])[], together: number): number {
  let shared = 0;
  let all = 0;
  onsets.forEach((own, i) => {
    const others = onsets.filter((_, k) => k !== i).flat().sort((a, b) => a - b);
    for (const at of own) {
      all++;
      if (hasNear(others, at, together + 1e-9)) shared++;
    }
  });
  return shared / all;
}

/** Whether a rising list has a value no further away. */
function hasNear(sorted: readonly number[], at: number, reach: number): boolean {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sorted[middle]! < at - reach) low = middle + 1;
    else high = middle;
  }
  return low < sorted.length && sorted[low]! <= at + reach;
}
