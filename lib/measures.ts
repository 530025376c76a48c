/**
 * Measures: momentum, balance, freshness, playability, chords; studies side by side; the constants of each.
 *
 * @module
 */

export { applySettings, rangeOf } from "./base/settings.ts";
export type { Constant, ConstantRange, Constants, Settings } from "./base/settings.ts";
export type * from "./measures/rows.ts";
export type * from "./measures/balance/balance_results.ts";
export type * from "./measures/balance/remedy_results.ts";
export type * from "./measures/chords/chord_results.ts";
export type * from "./measures/compare/study_results.ts";
export type * from "./measures/contour/contour_results.ts";
export type * from "./measures/freshness/freshness_results.ts";
export type * from "./measures/fullness/fullness_results.ts";
export type * from "./measures/idiom/idiom_results.ts";
export type * from "./measures/momentum/momentum_results.ts";
export type * from "./measures/passages/passages_results.ts";
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
export { maskingMatrix } from "./measures/balance/masking.ts";
export type { MaskingOptions } from "./measures/balance/masking.ts";
export { momentSound } from "./measures/balance/moment_sound.ts";
export type { MomentSoundOptions } from "./measures/balance/moment_sound.ts";
export { LOW_INTERVAL_CONSTANTS, lowIntervals } from "./measures/chords/low_intervals.ts";
export type { LowIntervalsOptions } from "./measures/chords/low_intervals.ts";
export { VOICE_LEADING_CONSTANTS, voiceLeading } from "./measures/chords/voice_leading.ts";
export type { VoiceLeadingOptions } from "./measures/chords/voice_leading.ts";
export { roughBars, ROUGHNESS_CONSTANTS } from "./measures/chords/rough_bars.ts";
export type { RoughBarsOptions } from "./measures/chords/rough_bars.ts";
export { blend, BLEND_CONSTANTS } from "./measures/chords/blend.ts";
export type { BlendOptions } from "./measures/chords/blend.ts";
export type { BarsToHear } from "./measures/balance/listening.ts";
export type { PrintedSign } from "./measures/printed_turns.ts";
export { freshness, FRESHNESS_CONSTANTS } from "./measures/freshness/freshness.ts";
export { contour, CONTOUR_CONSTANTS } from "./measures/contour/contour.ts";
export type { ContourOptions } from "./measures/contour/contour.ts";
export { CONTOUR_SHAPES } from "./measures/contour/contour_shapes.ts";
export type { ContourShapeName, ContourWish } from "./measures/contour/contour_shapes.ts";
export { idiom, IDIOM_CONSTANTS } from "./measures/idiom/idiom.ts";
export type { IdiomOptions } from "./measures/idiom/idiom.ts";
export { fullness, FULLNESS_CONSTANTS } from "./measures/fullness/fullness.ts";
export type { FullnessOptions } from "./measures/fullness/fullness.ts";
export type { FreshnessOptions } from "./measures/freshness/freshness.ts";
export { playability, PLAYABILITY_CONSTANTS } from "./measures/playability/playability.ts";
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
export { PASSAGE_CONSTANTS, passagesOf } from "./measures/passages/passages.ts";
export type { PassagesOptions } from "./measures/passages/passages.ts";
export { novelty } from "./measures/freshness/novelty.ts";
export type { NoveltyOptions } from "./measures/freshness/novelty.ts";
export { durationalAccent, pulsePeriodSalience } from "./measures/momentum/pulse_salience.ts";
export { metricalWeights, syncopation } from "./measures/momentum/syncopation.ts";
export { compareVersions } from "./measures/compare/versions.ts";
export type { ScoreVersion, VersionChange } from "./measures/compare/versions.ts";
