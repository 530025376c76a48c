/** Where the noise of unpitched percussion lies. From `data/percussion_noise.csv`. */
import noiseText from "../../../data/percussion_noise.csv" with { type: "text" };
import type { Decibels } from "../../base/units.ts";
import { type Instrument, instrumentById } from "../catalogue.ts";
import { aNumber } from "../data_table.ts";
import { figureTable } from "../figure_table.ts";
import { percussionKeys } from "../percussion_keys.ts";
import { brighteningDb, MEASURED_AT_DYNAMIC } from "./spectra.ts";

/** A band of noise. */
interface PercussionBand {
  readonly lowHz: number;
  readonly highHz: number;
  /** Level of the whole band in dB, against the instrument's strongest at mezzo-forte. */
  readonly levelDb: Decibels;
}

const bandsOf = figureTable("data/percussion_noise.csv", noiseText, {
  lowHz: aNumber,
  highHz: aNumber,
  levelDb: aNumber,
}).needed("band of noise", (rows) => rows.length > 0 ? rows : undefined);

/**
 * Bands of noise an unpitched instrument gives, with their levels.
 *
 * Of a drum set, the percussion key says which piece. Louder strokes are brighter by the same figure per octave as in
 * {@linkcode harmonicLevels}. Undefined for pitched instruments.
 */
export function noiseBands(
  instrument: Instrument,
  dynamic: number,
  options: { readonly soundingPitch?: number } = {},
): readonly PercussionBand[] | undefined {
  if (!instrument.unpitched) return undefined;
  const piece = instrument.id === "drum set" ? percussionKeys().get(options.soundingPitch ?? -1) : undefined;
  const bands = bandsOf(piece === undefined ? instrument : instrumentById(piece));
  const steps = Math.min(8, Math.max(1, dynamic)) - MEASURED_AT_DYNAMIC;
  const perOctave = brighteningDb(instrument) * steps;
  const centre = ({ lowHz, highHz }: PercussionBand) => Math.sqrt(lowHz * highHz);
  return bands.map((band): PercussionBand => ({
    lowHz: band.lowHz,
    highHz: band.highHz,
    levelDb: band.levelDb + perOctave * Math.log2(centre(band) / centre(bands[0]!)),
  }));
}
