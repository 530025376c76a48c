/** Who covers whom: every layer heard beside every other one alone. */
import { A_NUMBER, checkOptions } from "../../base/arguments.ts";
import { atPlace } from "../../base/errors.ts";
import { powerOfDb } from "../../hearing/decibels.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import type { Role } from "../../texture/roles.ts";
import { BALANCE_OPTIONS, type BalanceOptions } from "./balance_options.ts";
import { heardBeside } from "./lead_heard.ts";
import { partsInWords, partsOfLayer } from "../layer_words.ts";
import { type BarsToHear, beatsOfBar, checkedBars, listeningTo } from "./listening.ts";
import { atPower, type SoundingLayer } from "./moment.ts";
import type { MaskingRow } from "./balance_results.ts";

/** Options of {@linkcode maskingMatrix}. */
export interface MaskingOptions extends BalanceOptions, BarsToHear {}

/** Sums over the beats in which two layers sound together. */
interface Meeting {
  readonly masked: string;
  readonly masker: string;
  alone: number;
  partial: number;
  beats: number;
}

const OPTIONS = { ...BALANCE_OPTIONS, fromBarIndex: A_NUMBER, toBarIndex: A_NUMBER };

/**
 * Who covers whom: for every two layers that sound together, how much of the loudness of the one goes when the
 * other, and nothing else, sounds with it. Judged beat by beat, while the masked layer sounds; means are weighted by
 * its loudness. The other counts weaker by `twoEarsDb`, as the rest does in `balance`. Layers of one role with the same
 * parts, to other figures in other bars, are one, under the name of the first.
 *
 * What several layers take together is at least the largest of these shares; it is not their sum. A layer that
 * doubles the lead counts as a layer of its own here, though `balance` lets it merge with the lead.
 *
 * @param score the score
 * @param options bars, texture and constants
 * @returns a row for each ordered pair of layers that meet, the largest loss first
 * @throws {InputError} when the bars are not in the score, or an option is unknown
 *
 * Source: partial loudness, Moore, Glasberg and Baer 1997 (J. Audio Eng. Soc. 45, 224-240), equations 17 to 20.
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { maskingMatrix } from "ripieno/measures";
 * import { assert } from "@std/assert";
 * const rows = maskingMatrix(demoScore(), { fromBarIndex: 16, toBarIndex: 23 });
 * const worst = rows.find((r) => r.maskedRole === "lead");
 * assert(worst !== undefined && worst.lostShare > 0 && worst.lostShare <= 1);
 * ```
 */
export function maskingMatrix(score: Score, options: MaskingOptions = {}): readonly MaskingRow[] {
  const action = "see who covers whom";
  checkOptions(action, options, OPTIONS);
  const { fromBarIndex: _from, toBarIndex: _to, ...rest } = options;
  const { fromBarIndex, toBarIndex } = checkedBars(action, score, options);
  const { texture, sounds, moments, settings } = listeningTo(score, rest);
  const covering = powerOfDb(-settings.twoEarsDb);
  const partsOf = layerParts(texture, score, { fromBarIndex, toBarIndex });
  const names = (layer: string) => partsInWords(score, partsOf(layer));
  // Figures may change within the bars: what keeps its role and its parts is one layer.
  const firstOf = new Map<string, string>();
  const idOf = ({ id, role }: SoundingLayer): string => {
    const key = `${role} ${partsOf(id).join(" ")}`;
    if (!firstOf.has(key)) firstOf.set(key, id);
    return firstOf.get(key)!;
  };
  const meetings = new Map<string, Meeting>();
  const roles = new Map<string, Role>();
  const listenTo = (bar: number): void => {
    for (const span of beatsOfBar(score, bar)) {
      const moment = moments.soundingIn(bar, span);
      for (const masked of moment) {
        roles.set(idOf(masked), masked.role);
        for (const masker of moment) {
          if (idOf(masker) === idOf(masked)) continue;
          const { alone, partial } = heardBeside(sounds.grid, [masked], [atPower(masker, covering)]);
          const key = `${idOf(masked)}\n${idOf(masker)}`;
          const m = meetings.get(key) ??
            { masked: idOf(masked), masker: idOf(masker), alone: 0, partial: 0, beats: 0 };
          m.alone += alone;
          m.partial += partial;
          m.beats++;
          meetings.set(key, m);
        }
      }
    }
  };
  for (let bar = fromBarIndex; bar <= toBarIndex && bar < score.bars.length; bar++) {
    atPlace({ bar: score.bars[bar]!.number }, () => listenTo(bar));
  }
  return [...meetings.values()].map((m): MaskingRow => ({
    masked: m.masked,
    maskedRole: roles.get(m.masked)!,
    maskedParts: names(m.masked),
    masker: m.masker,
    maskerRole: roles.get(m.masker)!,
    maskerParts: names(m.masker),
    lostShare: m.alone > 0 ? Math.max(0, 1 - m.partial / m.alone) : 0,
    aloneSones: m.alone / m.beats,
    partialSones: m.partial / m.beats,
    beats: m.beats,
  })).sort((a, b) =>
    b.lostShare - a.lostShare || a.masked.localeCompare(b.masked) || a.masker.localeCompare(b.masker)
  );
}

/** The parts of a layer over some bars, found once for each. */
function layerParts(
  texture: Texture,
  score: Score,
  bars: { readonly fromBarIndex: number; readonly toBarIndex: number },
): (layer: string) => readonly number[] {
  const known = new Map<string, readonly number[]>();
  return (layer) => {
    const parts = known.get(layer) ?? partsOfLayer(texture, score, { layer, ...bars });
    known.set(layer, parts);
    return parts;
  };
}
