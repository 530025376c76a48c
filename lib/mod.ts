/**
 * Ripieno: what the secondary parts of an orchestra do, measured and written.
 *
 * The flow, left to right: read a score or a sketch, see what each part is doing, measure momentum, balance,
 * freshness and playability, change a choice, compare, show, write.
 *
 * @module
 */

// Errors, units, settings
export { describePlace, InputError } from "./base/errors.ts";
export type { InputErrorDetails, Place } from "./base/errors.ts";
export { applySettings, rangeOf } from "./base/settings.ts";
export type { Constant, ConstantRange, Constants, Settings } from "./base/settings.ts";
export { hzOf, pitchName, pitchOf } from "./base/units.ts";
export type {
  Decibels,
  Quarters,
  Seconds,
  Share,
  Sones,
  SoundingPitch,
  Ticks,
  WrittenPitch,
} from "./base/units.ts";

// Instruments: what can play
export { allInstruments, instrumentById } from "./instruments/catalogue.ts";
export type { Instrument, InstrumentFamily, PitchRange, SoundProduction } from "./instruments/catalogue.ts";
export { defineInstrument, readInstruments } from "./instruments/define_instrument.ts";
export type { InstrumentDefinition } from "./instruments/define_instrument.ts";
export { findInstrument } from "./instruments/names/find_instrument.ts";
export type { InstrumentMatch } from "./instruments/names/find_instrument.ts";
export type { InstrumentQuery } from "./instruments/names/read_instrument_name.ts";
export { registerOf, registersOf } from "./instruments/registers.ts";
export type { Register, RegisterPlace } from "./instruments/registers.ts";
export {
  legatoLimit,
  rateLimits,
  repeatedNoteLimit,
  separateNoteLimit,
  SPEED_CONSTANTS,
  speedOver,
  tonguingSupport,
  trillLimit,
} from "./instruments/rates.ts";
export type { RateKind, RateLimit, SpeedLimit, TonguingSupport } from "./instruments/rates.ts";
export { airFlow, breathSeconds } from "./instruments/breath.ts";
export { handbookWeight } from "./instruments/sound/handbook_weight.ts";
export { playersToMatch } from "./instruments/sound/players_to_match.ts";
export type { PlayersToMatchOptions } from "./instruments/sound/players_to_match.ts";
export { capabilities } from "./instruments/capabilities.ts";
export type { Capabilities, CapabilitiesOptions, TechniqueVerdict } from "./instruments/capabilities.ts";
export { changeTimes, doublingsOf } from "./instruments/changes.ts";
export type { ChangeTime, Doubling } from "./instruments/changes.ts";
export { techniquesOf } from "./instruments/techniques.ts";
export type { InstrumentTechnique } from "./instruments/techniques.ts";
export { glissandoLimit, staminaRules } from "./instruments/guidance.ts";
export type { GlissandoLimit, GlissandoWay, StaminaRule } from "./instruments/guidance.ts";
export { stopOn, stringsOf } from "./instruments/special/stops.ts";
export type { InstrumentString, Stop } from "./instruments/special/stops.ts";
export { timpaniDrums, timpaniTuning } from "./instruments/special/timpani.ts";
export type { TimpaniDrum, TimpaniTuning } from "./instruments/special/timpani.ts";
export { HARP_NATURAL, HARP_PEDALS, harpPedals } from "./instruments/special/harp_pedals.ts";
export type { HarpChange, HarpPedal, HarpSetting } from "./instruments/special/harp_pedals.ts";
export { soundPowerDb, soundPowerFigures } from "./instruments/sound/sound_power.ts";
export type { SoundPowerFigures } from "./instruments/sound/sound_power.ts";
export { harmonicLevels, spectrumFits } from "./instruments/sound/spectra.ts";
export type { SpectrumFit } from "./instruments/sound/spectra.ts";
export { orchestra, sectionSizes } from "./instruments/orchestra.ts";
export type { OrchestraPart, StringSectionSizes } from "./instruments/orchestra.ts";
export type { Confidence, Sourced } from "./instruments/data_table.ts";

// Scores: what is written
export type * from "./score/model.ts";
export { bendTempo, TEMPO_BEND_CONSTANTS } from "./score/bend_tempo.ts";
export type { TempoBendSettings } from "./score/bend_tempo.ts";
export { playingOrder } from "./score/playing_order.ts";
export type { PlayingOrderOptions } from "./score/playing_order.ts";
export { unfoldRepeats } from "./score/unfold_repeats.ts";
export { barBeatOf, barIndexOf, clockOf, endTicksOf, quartersOf, secondsOf } from "./score/time.ts";
export type { Timed } from "./score/time.ts";
export { DEFAULT_DYNAMIC, DYNAMIC_MARKS, dynamicMark, dynamicOf } from "./score/dynamics.ts";
export type { DynamicMark } from "./score/dynamics.ts";
export { makeNote, notesByBar, sortNotes, soundingNotes } from "./score/build.ts";
export type { NoteInput } from "./score/build.ts";
export { refineGrid } from "./score/refine_grid.ts";
export { lowIntervalLimit } from "./score/low_interval_limit.ts";
export type { LowIntervalTable } from "./score/low_interval_limit.ts";
export { strokeCount, strokeTicks } from "./score/tremolo.ts";

// Formats: files in and out
export { readMusicXml } from "./formats/musicxml/read/read_musicxml.ts";
export type { ReadMusicXmlOptions } from "./formats/musicxml/read/read_musicxml.ts";
export { readMxl } from "./formats/musicxml/read/read_mxl.ts";
export { readScore, readScoreBytes, SCORE_KINDS } from "./formats/read_score.ts";
export type { ReadScoreOptions } from "./formats/read_score.ts";
export { readAbc } from "./formats/abc/read_abc.ts";
export type { ReadAbcOptions } from "./formats/abc/read_abc.ts";
export { readMidi } from "./formats/midi/read_midi.ts";
export type { ReadMidiOptions } from "./formats/midi/read_midi.ts";
export { writeMusicXml, writePart } from "./formats/musicxml/write/write_musicxml.ts";
export type { WriteMusicXmlOptions } from "./formats/musicxml/write/write_musicxml.ts";
export { writeMidi } from "./formats/midi/write_midi.ts";
export type { WriteMidiOptions } from "./formats/midi/write_midi.ts";
export { barsTable, layersTable, notesTable, tableToCsv } from "./formats/files/csv.ts";
export type { BarFacts, Cell, LayerRow, NoteRow, TableRow, TableToCsvOptions } from "./formats/files/csv.ts";
export { writeFiles } from "./formats/files/write_files.ts";
export type { FileToWrite } from "./formats/files/write_files.ts";

// Texture: what each part is doing
export { isRole, ROLE_NAMES, ROLES } from "./texture/roles.ts";
export type { Role, RoleDescription } from "./texture/roles.ts";
export type * from "./texture/model.ts";
export type { Broad } from "./texture/broad_kinds.ts";
export { figureById, FIGURES, figuresFor } from "./texture/figures.ts";
export type { Figure, PitchPattern, Stroke } from "./texture/figures.ts";
export { cellFeatures, WINDOW_QUARTERS } from "./texture/features.ts";
export type { CellFeatures } from "./texture/features.ts";
export { relationsOf, relationSpans } from "./texture/relations.ts";
export type { PartRelation, Relation, RelationsOptions, RelationSpan } from "./texture/relations.ts";
export type { DoublingWeights } from "./texture/doubling_weights.ts";
export { readFigures } from "./texture/read_figures.ts";
export type { FigureReading, FigureShape, FigureTouch, ReadFiguresOptions } from "./texture/read_figures.ts";
export type { Contour } from "./texture/contour.ts";
export type { ChordTones } from "./texture/harmony_tones.ts";
export type { RhythmCell } from "./texture/rhythm_cell.ts";
export type { FigureWeights } from "./texture/figure_weights.ts";
export { assignRole, recognise, textureOf } from "./texture/recognise.ts";
export type { RecogniseOptions } from "./texture/recognise.ts";
export { trackLead } from "./texture/track_lead.ts";
export type { LeadInBar } from "./texture/track_lead.ts";
export { TEXTURE_WEIGHTS } from "./texture/texture_weights.ts";
export type { LinearModel, TextureWeights } from "./texture/weights.ts";
export { textureDifferences } from "./texture/texture_differences.ts";
export type {
  TextureAgreement,
  TextureDifference,
  TextureDifferencesOptions,
} from "./texture/texture_differences.ts";
export { writtenTexture } from "./texture/written.ts";

// Hearing: numbers in, numbers out
export { aWeightingDb } from "./hearing/standards/a_weighting.ts";
export { binauralLoudnessSones } from "./hearing/model/binaural_loudness.ts";
export { dbOfPower, equalSourcesDb, powerOfDb, sumDecibels } from "./hearing/decibels.ts";
export { camOf, erbHz, hzOfCam } from "./hearing/model/erb.ts";
export { erbGrid } from "./hearing/model/erb_grid.ts";
export type { ErbGrid, ErbGridOptions } from "./hearing/model/erb_grid.ts";
export type { SoundField } from "./hearing/model/ear_transfer.ts";
export { componentExcitation, erbPower, excitationPattern } from "./hearing/model/excitation.ts";
export type {
  ComponentExcitationOptions,
  ExcitationPattern,
  ExcitationPatternOptions,
} from "./hearing/model/excitation.ts";
export { equalLoudnessLevelDb, loudnessLevelPhon } from "./hearing/standards/iso226.ts";
export type { EqualLoudnessOptions } from "./hearing/standards/iso226.ts";
export type { Iso226Edition } from "./hearing/standards/iso226_parameters.ts";
export { zwickerLoudness } from "./hearing/standards/iso532_1.ts";
export type { ZwickerLoudness, ZwickerOptions } from "./hearing/standards/iso532_1.ts";
export { loudnessSones, specificLoudness } from "./hearing/model/loudness.ts";
export type { LoudnessOptions } from "./hearing/model/loudness.ts";
export type { LoudnessModel } from "./hearing/model/loudness_constants.ts";
export { phonOfSones } from "./hearing/model/loudness_level.ts";
export { noiseComponents, thirdOctaveComponents } from "./hearing/model/noise.ts";
export type { Components, NoiseBand } from "./hearing/model/noise.ts";
export { layerLoudness } from "./hearing/model/layer_loudness.ts";
export type { LayerLoudness } from "./hearing/model/layer_loudness.ts";
export { partialLoudnessSones } from "./hearing/model/partial_loudness.ts";
export type { PartialLoudnessOptions } from "./hearing/model/partial_loudness.ts";
export { roughness } from "./hearing/model/roughness.ts";
export type { RoughnessModel, RoughnessOptions } from "./hearing/model/roughness.ts";
export { thirdOctaveLevels } from "./hearing/standards/third_octave.ts";

// Measures: momentum, balance, freshness, playability
export type * from "./measures/balance/balance_results.ts";
export type * from "./measures/balance/remedy_results.ts";
export type * from "./measures/chords/chord_results.ts";
export type * from "./measures/compare/study_results.ts";
export type * from "./measures/freshness/freshness_results.ts";
export type * from "./measures/momentum/momentum_results.ts";
export type * from "./measures/playability/playability_results.ts";
export { momentum, MOMENTUM_CONSTANTS } from "./measures/momentum/momentum.ts";
export type { MomentumOptions } from "./measures/momentum/momentum.ts";
export { attribution } from "./measures/momentum/attribution.ts";
export type { AttributionOptions } from "./measures/momentum/attribution.ts";
export { balance, BALANCE_CONSTANTS } from "./measures/balance/balance.ts";
export type { BalanceOptions, BalanceSettings } from "./measures/balance/balance_options.ts";
export type { HearingDetail } from "./measures/balance/ear_grid.ts";
export { handbookAgreement } from "./measures/balance/handbook_agreement.ts";
export type { HandbookAgreementRow } from "./measures/balance/handbook_agreement.ts";
export { SEATING_METRES } from "./measures/balance/listening_place.ts";
export type { Hall, ListeningPlace } from "./measures/balance/listening_place.ts";
export { soundWarnings } from "./orchestrate/remedies/sound_warnings.ts";
export type { SoundWarningsOptions } from "./orchestrate/remedies/sound_warnings.ts";
export { remedies } from "./orchestrate/remedies/remedies.ts";
export type { RemediesOptions, SunkPassage } from "./orchestrate/remedies/remedies.ts";
export { applyRemedy } from "./orchestrate/remedies/apply_remedy.ts";
export type { AppliedRemedy, ApplyRemedyOptions } from "./orchestrate/remedies/apply_remedy.ts";
export { maskingMatrix } from "./measures/balance/masking.ts";
export type { MaskingOptions } from "./measures/balance/masking.ts";
export { momentSound } from "./measures/balance/moment_sound.ts";
export type { MomentSoundOptions } from "./measures/balance/moment_sound.ts";
export { LOW_INTERVAL_CONSTANTS, lowIntervals } from "./measures/chords/low_intervals.ts";
export type { LowIntervalsOptions } from "./measures/chords/low_intervals.ts";
export { roughBars, ROUGHNESS_CONSTANTS } from "./measures/chords/rough_bars.ts";
export type { RoughBarsOptions } from "./measures/chords/rough_bars.ts";
export { blend, BLEND_CONSTANTS } from "./measures/chords/blend.ts";
export type { BlendOptions } from "./measures/chords/blend.ts";
export type { BarsToHear } from "./measures/balance/listening.ts";
export { freshness, FRESHNESS_CONSTANTS } from "./measures/freshness/freshness.ts";
export type { FreshnessOptions } from "./measures/freshness/freshness.ts";
export {
  playability,
  PLAYABILITY_CAUTION,
  PLAYABILITY_CONSTANTS,
} from "./measures/playability/playability.ts";
export type { PlayabilityOptions } from "./measures/playability/playability.ts";
export type { PlayabilitySettings } from "./measures/playability/playability_constants.ts";
export { gatherFindings } from "./measures/playability/gather_findings.ts";
export type { GatheredFinding } from "./measures/playability/gather_findings.ts";
export { compare, study } from "./measures/compare/compare.ts";
export type { StudyOptions } from "./measures/compare/compare.ts";
export { effects } from "./measures/compare/effects.ts";
export type { ChoiceEffect, Effects, EffectsOptions, LevelEffect } from "./measures/compare/effects.ts";
export { sensitivity } from "./measures/compare/sensitivity.ts";
export type {
  RankedMeasure,
  Sensitivity,
  SensitivityOptions,
  SensitivityRow,
  SensitivityValue,
} from "./measures/compare/sensitivity.ts";
export { novelty } from "./measures/freshness/novelty.ts";
export type { NoveltyOptions } from "./measures/freshness/novelty.ts";
export { durationalAccent, pulsePeriodSalience } from "./measures/momentum/pulse_salience.ts";
export { metricalWeights, syncopation } from "./measures/momentum/syncopation.ts";
export { shapleyValues } from "./measures/momentum/shapley.ts";
export type { ShapleyOptions } from "./measures/momentum/shapley.ts";

// Orchestrating: plans into parts
export { sketchOf } from "./orchestrate/plan/sketch.ts";
export type { ChordTone, Harmony, Sketch } from "./orchestrate/plan/sketch.ts";
export { reharmonise } from "./orchestrate/plan/reharmonise.ts";
export { assign, readPlan, writePlan } from "./orchestrate/plan/plan.ts";
export type {
  Assignment,
  AssignmentInput,
  LayerArticulation,
  Passage,
  Plan,
  ReadPlanOptions,
} from "./orchestrate/plan/plan.ts";
export { realise } from "./orchestrate/realise/realise.ts";
export type { RealiseOptions } from "./orchestrate/realise/realise.ts";
export { vary } from "./orchestrate/plan/vary.ts";
export type { Change, LayersOf } from "./orchestrate/plan/vary.ts";
export { varyForRemedy } from "./orchestrate/remedies/vary_for_remedy.ts";
export type { VaryForRemedyOptions } from "./orchestrate/remedies/vary_for_remedy.ts";
export { sweep } from "./orchestrate/sweep/sweep.ts";
export type { SweepOptions, SweepProgress } from "./orchestrate/sweep/sweep.ts";
export type { SweepChoice, SweepChoices, SweepGrid } from "./orchestrate/sweep/sweep_grid.ts";
export type { SweepMeasure, SweepRow } from "./orchestrate/sweep/sweep_rows.ts";
export { voiceChord } from "./orchestrate/realise/layers/voice_chord.ts";
export type { VoiceRange, VoicingOptions } from "./orchestrate/realise/layers/voice_chord.ts";
export { registerFor } from "./orchestrate/realise/register_for.ts";
export { demoPlans, demoScore, demoSketch } from "./demo.ts";
export type { DemoPlans } from "./demo.ts";

// Showing: charts, reports
export { roleTimelineChart } from "./show/charts/role_timeline.ts";
export type { RoleTimelineOptions } from "./show/charts/role_timeline.ts";
export { momentumChart } from "./show/charts/momentum.ts";
export { balanceChart } from "./show/charts/balance.ts";
export { BALANCE_CAUTION } from "./show/drawing/balance_caution.ts";
export { loudnessShareChart } from "./show/charts/loudness_share.ts";
export { maskingChart } from "./show/charts/masking.ts";
export { momentSoundChart } from "./show/charts/moment_sound.ts";
export { attackRateLadderChart } from "./show/charts/attack_rate_ladder.ts";
export { attributionChart } from "./show/charts/attribution.ts";
export { freshnessChart } from "./show/charts/freshness.ts";
export { selfSimilarityChart } from "./show/charts/self_similarity.ts";
export { playabilityChart } from "./show/charts/playability.ts";
export { partPlayabilityChart } from "./show/charts/part_playability.ts";
export type { PartPlayabilityChartOptions } from "./show/charts/part_playability.ts";
export { rangeChart } from "./show/charts/range.ts";
export type { RangeChartOptions } from "./show/charts/range.ts";
export { rateChart } from "./show/charts/rate.ts";
export type { RateChartOptions } from "./show/charts/rate.ts";
export { REPEATED_VALUES } from "./show/panels/rate_ways.ts";
export type { RepeatedValue } from "./show/panels/rate_ways.ts";
export type { InstrumentsAsked } from "./show/drawing/asked_instruments.ts";
export { comparisonChart } from "./show/charts/comparison.ts";
export { momentumComparisonChart } from "./show/charts/momentum_comparison.ts";
export { effectsChart } from "./show/charts/effects.ts";
export { sensitivityChart } from "./show/charts/sensitivity.ts";
export type { SensitivityChartOptions } from "./show/charts/sensitivity.ts";
export { sweepChart } from "./show/charts/sweep.ts";
export type { SweepChartOptions } from "./show/charts/sweep.ts";
export { layersChart } from "./show/charts/layers.ts";
export type { LayersChartOptions } from "./show/charts/layers.ts";
export type { ChartOptions } from "./show/drawing/chart_options.ts";
export type { Chart } from "./show/drawing/svg.ts";
export { ROLE_LOOKS, SEVERITY_LOOKS } from "./show/drawing/theme.ts";
export type { RoleLook, SeverityLook } from "./show/drawing/theme.ts";
export { chartDocument } from "./show/drawing/chart_document.ts";
export { chartSvg, saveChart } from "./show/drawing/save_chart.ts";
export { report } from "./show/report/report.ts";
export type { ReportOptions } from "./show/report/report.ts";
export type { ReportEntry } from "./show/report/report_entry.ts";
export { studyFiles } from "./show/report/study_files.ts";
export type { StudyFilesOptions } from "./show/report/study_files.ts";
export { passagesOf, summarise } from "./show/drawing/summary.ts";
export type { SummaryRow } from "./show/drawing/summary.ts";
export { show } from "./show/show.ts";
export type { ShowOptions } from "./show/show.ts";
export type { TableOptions } from "./show/drawing/table_html.ts";
