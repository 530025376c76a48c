/** Where the noise of unpitched percussion lies. From `data/percussion_noise.csv`. */
import keysText from "../../../data/percussion_keys.csv" with { type: "text" };
import noiseText from "../../../data/percussion_noise.csv" with { type: "text" };
import type { Decibels } from "../../base/units.ts";
import { figureNames, type Instrument, noFigure } from "../catalogue.ts";
import { brighteningDb, MEASURED_AT_DYNAMIC } from "./spectra.ts";
import { aNumber, anyText, readTable, someText, sourced } from "../data_table.ts";

/** A band of noise. */
export interface PercussionBand {
  /** Lower edge in Hz. */
  readonly lowHz: number;
  /** Upper edge in Hz. */
  readonly highHz: number;
  /** Level of the whole band in dB, against the instrument's strongest at mezzo-forte. */
  readonly levelDb: Decibels;
}

const bandRows = readTable(noiseText, {
  file: "data/percussion_noise.csv",
  columns: { instrument: someText, low_hz: aNumber, high_hz: aNumber, level_db: aNumber, ...sourced },
});

/** What each key of a drum set strikes. */
const setKeys: ReadonlyMap<number, string> = new Map(
  readTable(keysText, {
    file: "data/percussion_keys.csv",
    columns: { percussion_key_midi: aNumber, instrument: someText, ...sourced, note: anyText },
  }).map((row) => [row.percussion_key_midi, row.instrument]),
);

const known = new Map<string, readonly PercussionBand[]>();

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
  const piece = instrument.id === "drum set" ? setKeys.get(options.soundingPitch ?? -1) : undefined;
  const bands = bandsUnder([...(piece === undefined ? [] : [piece]), ...figureNames(instrument)]);
  const steps = Math.min(8, Math.max(1, dynamic)) - MEASURED_AT_DYNAMIC;
  const perOctave = brighteningDb(instrument) * steps;
  const centre = ({ lowHz, highHz }: PercussionBand) => Math.sqrt(lowHz * highHz);
  return bands.map((band): PercussionBand => ({
    ...band,
    levelDb: band.levelDb + perOctave * Math.log2(centre(band) / centre(bands[0]!)),
  }));
}

/** The bands that stand under the first of some names that has any. */
function bandsUnder(names: readonly string[]): readonly PercussionBand[] {
  for (const name of names) {
    let bands = known.get(name);
    if (!bands) {
      bands = bandRows.filter((row) => row.instrument === name)
        .map((row) => ({ lowHz: row.low_hz, highHz: row.high_hz, levelDb: row.level_db }));
      known.set(name, bands);
    }
    if (bands.length > 0) return bands;
  }
  throw noFigure("band of noise", names[0] ?? "");
}
