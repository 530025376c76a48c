/**
 * Ripieno: what the secondary parts of an orchestra do, measured and written.
 *
 * The flow, left to right: read a score or a sketch, see what each part is doing, measure momentum, balance,
 * freshness and playability, change a choice, compare, show, write.
 *
 * @module
 */

// Errors, units, settings
export { describePlace, InputError } from "./errors.ts";
export type { InputErrorDetails, Place } from "./errors.ts";
export { applySettings, rangeOf } from "./settings.ts";
export type { Constant, ConstantRange, Constants, Settings } from "./settings.ts";
export { hzOf, pitchName, pitchOf } from "./units.ts";
export type {
  Decibels,
  Quarters,
  Seconds,
  Share,
  Sones,
  SoundingPitch,
  Ticks,
  WrittenPitch,
} from "./units.ts";

// Instruments: what can play
export { allInstruments, instrumentById } from "./instruments/catalogue.ts";
export type { Instrument, InstrumentFamily, PitchRange, SoundProduction } from "./instruments/catalogue.ts";
export { defineInstrument, readInstruments } from "./instruments/define_instrument.ts";
export type { InstrumentDefinition } from "./instruments/define_instrument.ts";
export { findInstrument } from "./instruments/find_instrument.ts";
export type { InstrumentMatch } from "./instruments/find_instrument.ts";
export type { InstrumentQuery } from "./instruments/read_instrument_name.ts";
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
export { breathSeconds } from "./instruments/breath.ts";
export { handbookWeight } from "./instruments/handbook_weight.ts";
export { playersToMatch } from "./instruments/players_to_match.ts";
export type { PlayersToMatchOptions } from "./instruments/players_to_match.ts";
export { capabilities } from "./instruments/capabilities.ts";
export type { Capabilities, CapabilitiesOptions, TechniqueVerdict } from "./instruments/capabilities.ts";
export { changeTimes, doublingsOf } from "./instruments/changes.ts";
export type { ChangeTime, Doubling } from "./instruments/changes.ts";
export { techniquesOf } from "./instruments/techniques.ts";
export type { InstrumentTechnique } from "./instruments/techniques.ts";
export { glissandoLimit, staminaRules } from "./instruments/guidance.ts";
export type { GlissandoLimit, GlissandoWay, StaminaRule } from "./instruments/guidance.ts";
export { stopOn, stringsOf } from "./instruments/stops.ts";
export type { InstrumentString, Stop } from "./instruments/stops.ts";
export { timpaniDrums, timpaniTuning } from "./instruments/timpani.ts";
export type { TimpaniDrum, TimpaniTuning } from "./instruments/timpani.ts";
export { HARP_NATURAL, HARP_PEDALS, harpPedals } from "./instruments/harp_pedals.ts";
export type { HarpChange, HarpPedal, HarpSetting } from "./instruments/harp_pedals.ts";
export { soundPowerDb, soundPowerFigures } from "./instruments/sound_power.ts";
export type { SoundPowerFigures } from "./instruments/sound_power.ts";
export { harmonicLevels, spectrumFits } from "./instruments/spectra.ts";
export type { SpectrumFit } from "./instruments/spectra.ts";
export { orchestra, sectionSizes } from "./instruments/orchestra.ts";
export type { OrchestraPart, StringSectionSizes } from "./instruments/orchestra.ts";
export type { Confidence, Sourced } from "./instruments/table.ts";

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
export { refineGrid } from "./score/grid.ts";
export { lowIntervalLimit } from "./score/low_intervals.ts";
export type { LowIntervalTable } from "./score/low_intervals.ts";
export { strokeCount, strokeTicks } from "./score/tremolo.ts";

// Formats: files in and out
export { readMusicXml } from "./formats/read_musicxml.ts";
export type { ReadMusicXmlOptions } from "./formats/read_musicxml.ts";
export { readMxl } from "./formats/mxl.ts";
export { readScore, readScoreBytes, SCORE_KINDS } from "./formats/read_score.ts";
export type { ReadScoreOptions } from "./formats/read_score.ts";
export { readAbc } from "./formats/read_abc.ts";
export type { ReadAbcOptions } from "./formats/read_abc.ts";
export { readMidi } from "./formats/read_midi.ts";
export type { ReadMidiOptions } from "./formats/read_midi.ts";
export { writeMusicXml, writePart } from "./formats/write_musicxml.ts";
export type { WriteMusicXmlOptions } from "./formats/write_musicxml.ts";
export { writeMidi } from "./formats/write_midi.ts";
export type { WriteMidiOptions } from "./formats/write_midi.ts";
export { barsTable, layersTable, notesTable, tableToCsv } from "./formats/csv.ts";
export type { BarFacts, Cell, LayerRow, NoteRow, TableRow, TableToCsvOptions } from "./formats/csv.ts";
export { writeFiles } from "./formats/write_files.ts";
export type { FileToWrite } from "./formats/write_files.ts";

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
export { aWeightingDb } from "./hearing/a_weighting.ts";
export { binauralLoudnessSones } from "./hearing/binaural_loudness.ts";
export { dbOfPower, equalSourcesDb, powerOfDb, sumDecibels } from "./hearing/decibels.ts";
export { camOf, erbHz, hzOfCam } from "./hearing/erb.ts";
export { erbGrid } from "./hearing/erb_grid.ts";
export type { ErbGrid, ErbGridOptions } from "./hearing/erb_grid.ts";
export type { SoundField } from "./hearing/ear_transfer.ts";
export { componentExcitation, erbPower, excitationPattern } from "./hearing/excitation.ts";
export type {
  ComponentExcitationOptions,
  ExcitationPattern,
  ExcitationPatternOptions,
} from "./hearing/excitation.ts";
export { equalLoudnessLevelDb, loudnessLevelPhon } from "./hearing/iso226.ts";
export type { EqualLoudnessOptions } from "./hearing/iso226.ts";
export type { Iso226Edition } from "./hearing/iso226_parameters.ts";
export { zwickerLoudness } from "./hearing/iso532_1.ts";
export type { ZwickerLoudness, ZwickerOptions } from "./hearing/iso532_1.ts";
export { loudnessSones, specificLoudness } from "./hearing/loudness.ts";
export type { LoudnessOptions } from "./hearing/loudness.ts";
export type { LoudnessModel } from "./hearing/loudness_constants.ts";
export { phonOfSones } from "./hearing/loudness_level.ts";
export { noiseComponents, thirdOctaveComponents } from "./hearing/noise.ts";
export type { Components, NoiseBand } from "./hearing/noise.ts";
export { layerLoudness } from "./hearing/layer_loudness.ts";
export type { LayerLoudness } from "./hearing/layer_loudness.ts";
export { partialLoudnessSones } from "./hearing/partial_loudness.ts";
export type { PartialLoudnessOptions } from "./hearing/partial_loudness.ts";
export { roughness } from "./hearing/roughness.ts";
export type { RoughnessModel, RoughnessOptions } from "./hearing/roughness.ts";
export { thirdOctaveLevels } from "./hearing/third_octave.ts";

// Measures: momentum, balance, freshness, playability
export type * from "./measures/results.ts";
export { momentum, MOMENTUM_CONSTANTS } from "./measures/momentum.ts";
export type { MomentumOptions } from "./measures/momentum.ts";
export { attribution } from "./measures/attribution.ts";
export type { AttributionOptions } from "./measures/attribution.ts";
export { balance, BALANCE_CONSTANTS } from "./measures/balance.ts";
export type { BalanceOptions, BalanceSettings } from "./measures/balance_options.ts";
export type { HearingDetail } from "./measures/ear_grid.ts";
export { handbookAgreement } from "./measures/handbook_agreement.ts";
export type { HandbookAgreementRow } from "./measures/handbook_agreement.ts";
export { SEATING_METRES } from "./measures/listening_place.ts";
export type { Hall, ListeningPlace } from "./measures/listening_place.ts";
export { soundWarnings } from "./measures/sound_warnings.ts";
export type { SoundWarningsOptions } from "./measures/sound_warnings.ts";
export { remedies } from "./measures/remedies.ts";
export type { RemediesOptions, SunkPassage } from "./measures/remedies.ts";
export { applyRemedy } from "./measures/apply_remedy.ts";
export type { AppliedRemedy, ApplyRemedyOptions } from "./measures/apply_remedy.ts";
export { maskingMatrix } from "./measures/masking.ts";
export type { MaskingOptions } from "./measures/masking.ts";
export { momentSound } from "./measures/moment_sound.ts";
export type { MomentSoundOptions } from "./measures/moment_sound.ts";
export { LOW_INTERVAL_CONSTANTS, lowIntervals } from "./measures/low_intervals.ts";
export type { LowIntervalsOptions } from "./measures/low_intervals.ts";
export { roughBars, ROUGHNESS_CONSTANTS } from "./measures/rough_bars.ts";
export type { RoughBarsOptions } from "./measures/rough_bars.ts";
export { blend, BLEND_CONSTANTS } from "./measures/blend.ts";
export type { BlendOptions } from "./measures/blend.ts";
export type { BarsToHear } from "./measures/listening.ts";
export { freshness, FRESHNESS_CONSTANTS } from "./measures/freshness.ts";
export type { FreshnessOptions } from "./measures/freshness.ts";
export { playability, PLAYABILITY_CAUTION, PLAYABILITY_CONSTANTS } from "./measures/playability.ts";
export type { PlayabilityOptions } from "./measures/playability.ts";
export type { PlayabilitySettings } from "./measures/playability_constants.ts";
export { gatherFindings } from "./measures/gather_findings.ts";
export type { GatheredFinding } from "./measures/gather_findings.ts";
export { compare, study } from "./measures/compare.ts";
export type { StudyOptions } from "./measures/compare.ts";
export { effects } from "./measures/effects.ts";
export type { ChoiceEffect, Effects, EffectsOptions, LevelEffect } from "./measures/effects.ts";
export { sensitivity } from "./measures/sensitivity.ts";
export type {
  RankedMeasure,
  Sensitivity,
  SensitivityOptions,
  SensitivityRow,
  SensitivityValue,
} from "./measures/sensitivity.ts";
export { novelty } from "./measures/novelty.ts";
export type { NoveltyOptions } from "./measures/novelty.ts";
export { durationalAccent, pulsePeriodSalience } from "./measures/pulse_salience.ts";
export { metricalWeights, syncopation } from "./measures/syncopation.ts";
export { shapleyValues } from "./measures/shapley.ts";
export type { ShapleyOptions } from "./measures/shapley.ts";

// Orchestrating: plans into parts
export { sketchOf } from "./orchestrate/sketch.ts";
export type { ChordTone, Harmony, Sketch } from "./orchestrate/sketch.ts";
export { reharmonise } from "./orchestrate/reharmonise.ts";
export { assign, readPlan, writePlan } from "./orchestrate/plan.ts";
export type {
  Assignment,
  AssignmentInput,
  LayerArticulation,
  Passage,
  Plan,
  ReadPlanOptions,
} from "./orchestrate/plan.ts";
export { realise } from "./orchestrate/realise.ts";
export type { RealiseOptions } from "./orchestrate/realise.ts";
export { vary } from "./orchestrate/vary.ts";
export type { Change, LayersOf } from "./orchestrate/vary.ts";
export { varyForRemedy } from "./orchestrate/vary_for_remedy.ts";
export type { VaryForRemedyOptions } from "./orchestrate/vary_for_remedy.ts";
export { sweep } from "./orchestrate/sweep.ts";
export type { SweepOptions, SweepProgress } from "./orchestrate/sweep.ts";
export type { SweepChoice, SweepChoices, SweepGrid } from "./orchestrate/grid.ts";
export type { SweepMeasure, SweepRow } from "./orchestrate/sweep_rows.ts";
export { voiceChord } from "./orchestrate/voicing.ts";
export type { VoiceRange, VoicingOptions } from "./orchestrate/voicing.ts";
export { registerFor } from "./orchestrate/registers.ts";
export { demoPlans, demoScore, demoSketch } from "./demo.ts";
export type { DemoPlans } from "./demo.ts";

// Showing: charts, reports
export { roleTimelineChart } from "./show/charts/role_timeline.ts";
export type { RoleTimelineOptions } from "./show/charts/role_timeline.ts";
export { momentumChart } from "./show/charts/momentum.ts";
export { balanceChart } from "./show/charts/balance.ts";
export { BALANCE_CAUTION } from "./show/balance_caution.ts";
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
export { REPEATED_VALUES } from "./show/rate_ways.ts";
export type { RepeatedValue } from "./show/rate_ways.ts";
export type { InstrumentsAsked } from "./show/asked_instruments.ts";
export { comparisonChart } from "./show/charts/comparison.ts";
export { momentumComparisonChart } from "./show/charts/momentum_comparison.ts";
export { effectsChart } from "./show/charts/effects.ts";
export { sensitivityChart } from "./show/charts/sensitivity.ts";
export type { SensitivityChartOptions } from "./show/charts/sensitivity.ts";
export { sweepChart } from "./show/charts/sweep.ts";
export type { SweepChartOptions } from "./show/charts/sweep.ts";
export { layersChart } from "./show/charts/layers.ts";
export type { LayersChartOptions } from "./show/charts/layers.ts";
export type { ChartOptions } from "./show/chart_options.ts";
export type { Chart } from "./show/svg.ts";
export { ROLE_LOOKS, SEVERITY_LOOKS } from "./show/theme.ts";
export type { RoleLook, SeverityLook } from "./show/theme.ts";
export { chartDocument } from "./show/document.ts";
export { chartSvg, saveChart } from "./show/save.ts";
export { report } from "./show/report.ts";
export type { ReportEntry, ReportOptions } from "./show/report.ts";
export { studyFiles } from "./show/study_files.ts";
export type { StudyFilesOptions } from "./show/study_files.ts";
export { passagesOf, summarise } from "./show/summary.ts";
export type { SummaryRow } from "./show/summary.ts";
export { show } from "./show/show.ts";
export type { ShowOptions } from "./show/show.ts";
export type { TableOptions } from "./show/table.ts";
