/**
 * Every table in `data/` that the catalogue of instruments and recognition are built from, as it stands there: what
 * was worked out with other tables is not gone on with.
 */
import breath from "../../../data/breath.csv" with { type: "text" };
import brightening from "../../../data/brightening.csv" with { type: "text" };
import changeTimes from "../../../data/change_times.csv" with { type: "text" };
import chordUse from "../../../data/chord_use.csv" with { type: "text" };
import decay from "../../../data/decay.csv" with { type: "text" };
import secondInstruments from "../../../data/second_instruments.csv" with { type: "text" };
import glissandoLimits from "../../../data/glissando_limits.csv" with { type: "text" };
import handbookRatios from "../../../data/handbook_ratios.csv" with { type: "text" };
import handbookWeights from "../../../data/handbook_weights.csv" with { type: "text" };
import idiomCounts from "../../../data/idiom_counts.csv" with { type: "text" };
import instrumentNames from "../../../data/instrument_names.csv" with { type: "text" };
import instruments from "../../../data/instruments.csv" with { type: "text" };
import leaps from "../../../data/leaps.csv" with { type: "text" };
import lowIntervals from "../../../data/low_intervals.csv" with { type: "text" };
import midiPrograms from "../../../data/midi_programs.csv" with { type: "text" };
import orchestras from "../../../data/orchestras.csv" with { type: "text" };
import percussionKeys from "../../../data/percussion_keys.csv" with { type: "text" };
import percussionNoise from "../../../data/percussion_noise.csv" with { type: "text" };
import rates from "../../../data/rates.csv" with { type: "text" };
import registers from "../../../data/registers.csv" with { type: "text" };
import soundIdStandIns from "../../../data/sound_id_stand_ins.csv" with { type: "text" };
import soundPower from "../../../data/sound_power.csv" with { type: "text" };
import spectra from "../../../data/spectra.csv" with { type: "text" };
import spectraFit from "../../../data/spectra_fit.csv" with { type: "text" };
import stamina from "../../../data/stamina.csv" with { type: "text" };
import standInNames from "../../../data/stand_in_names.csv" with { type: "text" };
import stringSectionSizes from "../../../data/string_section_sizes.csv" with { type: "text" };
import strings from "../../../data/strings.csv" with { type: "text" };
import techniques from "../../../data/techniques.csv" with { type: "text" };
import timpaniDrums from "../../../data/timpani_drums.csv" with { type: "text" };
import tonguing from "../../../data/tonguing.csv" with { type: "text" };
import doublingWeights from "../../../data/doubling_weights.json" with { type: "json" };
import figureWeights from "../../../data/figure_weights.json" with { type: "json" };
import textureWeights from "../../../data/texture_weights.json" with { type: "json" };

export const DATA_TABLES: Readonly<Record<string, unknown>> = {
  "breath.csv": breath,
  "brightening.csv": brightening,
  "change_times.csv": changeTimes,
  "chord_use.csv": chordUse,
  "decay.csv": decay,
  "second_instruments.csv": secondInstruments,
  "glissando_limits.csv": glissandoLimits,
  "handbook_ratios.csv": handbookRatios,
  "handbook_weights.csv": handbookWeights,
  "idiom_counts.csv": idiomCounts,
  "instrument_names.csv": instrumentNames,
  "instruments.csv": instruments,
  "leaps.csv": leaps,
  "low_intervals.csv": lowIntervals,
  "midi_programs.csv": midiPrograms,
  "orchestras.csv": orchestras,
  "percussion_keys.csv": percussionKeys,
  "percussion_noise.csv": percussionNoise,
  "rates.csv": rates,
  "registers.csv": registers,
  "sound_id_stand_ins.csv": soundIdStandIns,
  "sound_power.csv": soundPower,
  "spectra.csv": spectra,
  "spectra_fit.csv": spectraFit,
  "stamina.csv": stamina,
  "stand_in_names.csv": standInNames,
  "string_section_sizes.csv": stringSectionSizes,
  "strings.csv": strings,
  "techniques.csv": techniques,
  "timpani_drums.csv": timpaniDrums,
  "tonguing.csv": tonguing,
  "doubling_weights.json": doublingWeights,
  "figure_weights.json": figureWeights,
  "texture_weights.json": textureWeights,
};
