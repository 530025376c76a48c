/** How the sound of a note is spread over its harmonics. From `data/spectra.csv` and `data/brightening.csv`. */
import { once } from "../../base/memo.ts";
import { A_DYNAMIC, A_PITCH, A_TEXT, checkArgument, checkOptions } from "../../base/arguments.ts";
import brighteningText from "../../../data/brightening.csv" with { type: "text" };
import fitText from "../../../data/spectra_fit.csv" with { type: "text" };
import spectraText from "../../../data/spectra.csv" with { type: "text" };
import { type Decibels, hzOf, type SoundingPitch } from "../../base/units.ts";
import { type Instrument, noFigure } from "../catalogue.ts";
import {
  aNumber,
  aPitch,
  type Columns,
  oneOf,
  readTable,
  someText,
  type Sourced,
  sourced,
} from "../data_table.ts";
import { figureTable } from "../figure_table.ts";

const TOP_HZ = 10_000;
/** A lower tone than any instrument has: its harmonics are counted as if it were this high. */
const LOWEST_HZ = 1;
const FIRST_BAND_HZ = 31.25;
const BANDS_PER_OCTAVE = 2;
const BANDS = 18;
const OWN_HARMONICS = 8;
/** Dynamic at which the spectra stand as they are. */
export const MEASURED_AT_DYNAMIC = 5;
const TECHNIQUES = ["ordinario", "pizzicato", "con sordino"] as const;

/** How well the small tables give back the measured notes they were fitted to. */
export interface SpectrumFit extends Sourced {
  /** Instrument. */
  readonly instrument: string;
  /** Way of playing. */
  readonly technique: string;
  /** Notes measured. */
  readonly notes: number;
  /** Mean error of a harmonic within 40 dB of the strongest, in dB. */
  readonly meanErrorDb: Decibels;
  /** Median error of the spectral centroid, in octaves. */
  readonly centroidErrorOctaves: number;
  /** Mean error in dB on notes left out of the fit. */
  readonly heldOutMeanErrorDb: Decibels;
  /** Median centroid error in octaves on notes left out of the fit. */
  readonly heldOutCentroidErrorOctaves: number;
}

/** Levels at one pitch: the first harmonics' own offsets, and the envelope over frequency. */
interface Knot {
  readonly soundingPitch: number;
  readonly own: readonly number[];
  readonly envelope: readonly number[];
}

const bandNames = Array.from({ length: BANDS }, (_, band) => `hz_${Math.floor(bandHz(band))}_db`);
const ownNames = Array.from({ length: OWN_HARMONICS }, (_, index) => `harmonic_${index + 1}_db`);
const levelColumns: Columns = Object.fromEntries([...ownNames, ...bandNames].map((name) => [name, aNumber]));

const table = figureTable("data/spectra.csv", spectraText, {
  technique: oneOf(TECHNIQUES),
  atSoundingPitch: aPitch,
  ...levelColumns,
});

/** Spectra at a few pitches, lowest first. */
const knotsIn = (technique: string) =>
  table.made((rows) => {
    const own = rows.filter((row) => row.technique === technique);
    return own.length === 0 ? undefined : own.map((row): Knot => {
      const cells: Readonly<Record<string, unknown>> = { ...row };
      const level = (name: string): number => Number(cells[name]);
      return { soundingPitch: row.atSoundingPitch, own: ownNames.map(level), envelope: bandNames.map(level) };
    }).sort((a, b) => a.soundingPitch - b.soundingPitch);
  });
const KNOTS = {
  ordinario: knotsIn("ordinario"),
  pizzicato: knotsIn("pizzicato"),
  "con sordino": knotsIn("con sordino"),
};

const liftOf = figureTable("data/brightening.csv", brighteningText, { dbPerOctavePerStep: aNumber })
  .needed("change of spectrum with dynamic", (rows) => rows[0]?.dbPerOctavePerStep);

const fits = once<readonly SpectrumFit[]>(() =>
  readTable(fitText, {
    file: "data/spectra_fit.csv",
    columns: {
      instrument: someText,
      technique: oneOf(TECHNIQUES),
      dataSetName: someText,
      notes: aNumber,
      knots: aNumber,
      meanErrorDb: aNumber,
      centroidErrorOctaves: aNumber,
      heldOutMeanErrorDb: aNumber,
      heldOutCentroidErrorOctaves: aNumber,
      ...sourced,
    },
  })
);

const OPTIONS = { technique: A_TEXT };

/**
 * Levels of the harmonics of a note, in dB relative to the strongest, from the first up to about 10 kHz.
 *
 * Each instrument has an envelope over frequency at two to four pitches, and offsets for its first eight
 * harmonics (a clarinet's weak even ones), fitted to the SHARC measurements (G. Sandell; 36 sets of notes) and
 * interpolated between pitches; {@linkcode spectrumFits} gives the error. Instruments without measurements
 * have plain slopes, a model assumption. For unpitched percussion the result is a close comb under its envelope;
 * the balance takes bands of noise instead.
 *
 * The measurements have one loudness per note, taken here as mf (model assumption). Each step of the dynamic
 * scale above it lifts every octave above the fundamental by a further 0.5 to 1.6 dB, most for brass, and each
 * step below lowers it (direction after Meyer 2009, size a model assumption).
 *
 * @param instrument the instrument
 * @param soundingPitch sounding MIDI pitch
 * @param dynamic loudness, 1 ppp to 8 fff
 * @param options the way of playing; `pizzicato` and `con sordino` have spectra of their own where measured
 * @returns dB per harmonic, at most 0
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { harmonicLevels } from "ripieno/instruments";
 * import { assert } from "@std/assert";
 * const clarinet = harmonicLevels(instrumentById("clarinet in Bb"), 52, 5);
 * assert(clarinet[0]! > clarinet[1]! + 10 && clarinet[2]! > clarinet[1]!);
 * ```
 */
export function harmonicLevels(
  instrument: Instrument,
  soundingPitch: SoundingPitch,
  dynamic: number,
  options: { readonly technique?: string } = {},
): Float64Array {
  checkArgument("work out the spectrum", soundingPitch, A_PITCH);
  checkArgument("work out the spectrum", dynamic, A_DYNAMIC);
  checkOptions("work out the spectrum", options, OPTIONS);
  const technique = TECHNIQUES.find((each) => each === options.technique) ?? "ordinario";
  return work(instrument, soundingPitch, dynamic, technique);
}

/**
 * How well the spectra give back the measurements they were fitted to, per instrument and way of playing.
 *
 * @returns one row per fitted spectrum
 *
 * @example
 * ```ts
 * import { spectrumFits } from "ripieno/instruments";
 * import { assert } from "@std/assert";
 * assert(spectrumFits().every((fit) => fit.centroidErrorOctaves < 0.3));
 * ```
 */
export function spectrumFits(): readonly SpectrumFit[] {
  return fits();
}

function work(
  instrument: Instrument,
  soundingPitch: SoundingPitch,
  dynamic: number,
  technique: (typeof TECHNIQUES)[number],
): Float64Array {
  const knots = KNOTS[technique](instrument) ?? KNOTS.ordinario(instrument);
  if (knots === undefined) throw noFigure("spectrum", instrument.id);
  const { own, envelope } = at(knots, soundingPitch);
  const perOctave = brighteningDb(instrument) * (Math.min(8, Math.max(1, dynamic)) - MEASURED_AT_DYNAMIC);
  const fundamentalHz = hzOf(soundingPitch);
  const levels = new Float64Array(Math.max(1, Math.floor(TOP_HZ / Math.max(LOWEST_HZ, fundamentalHz))));
  let strongest = -Infinity;
  for (let index = 0; index < levels.length; index++) {
    const harmonic = index + 1;
    const band = Math.log2(harmonic * fundamentalHz / FIRST_BAND_HZ) * BANDS_PER_OCTAVE;
    const level = between(envelope, band) + (own[index] ?? 0) + perOctave * Math.log2(harmonic);
    levels[index] = level;
    strongest = Math.max(strongest, level);
  }
  for (let index = 0; index < levels.length; index++) levels[index]! -= strongest;
  return levels;
}

function at(knots: readonly Knot[], soundingPitch: number): Knot {
  const above = knots.findIndex((knot) => knot.soundingPitch >= soundingPitch);
  if (above === 0) return knots[0]!;
  if (above < 0) return knots[knots.length - 1]!;
  const low = knots[above - 1]!;
  const high = knots[above]!;
  const share = (soundingPitch - low.soundingPitch) / (high.soundingPitch - low.soundingPitch);
  const mix = (a: readonly number[], b: readonly number[]) => a.map((v, i) => v + share * (b[i]! - v));
  return { soundingPitch, own: mix(low.own, high.own), envelope: mix(low.envelope, high.envelope) };
}

function between(values: readonly number[], position: number): number {
  const held = Math.min(values.length - 1, Math.max(0, position));
  const below = Math.min(values.length - 2, Math.floor(held));
  const share = held - below;
  return values[below]! * (1 - share) + values[below + 1]! * share;
}

/** How much a step of the dynamic scale lifts every octave above the lowest. */
export function brighteningDb(instrument: Instrument): Decibels {
  return liftOf(instrument);
}

function bandHz(band: number): number {
  return FIRST_BAND_HZ * 2 ** (band / BANDS_PER_OCTAVE);
}
