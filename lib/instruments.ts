/**
 * Instruments: what can play. The catalogue, ranges, registers, rates, breath, weights, spectra, orchestras.
 *
 * @module
 */

export { allInstruments } from "./instruments/catalogue.ts";
export { instrumentById } from "./instruments/names/instrument_by_id.ts";
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
export { changeTimes, secondInstrumentsOf } from "./instruments/changes.ts";
export type { ChangeTime, SecondInstrument } from "./instruments/changes.ts";
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
export { readOrchestra, writeOrchestra } from "./instruments/names/orchestra_table.ts";
export type { ReadOrchestraOptions } from "./instruments/names/orchestra_table.ts";
export { orchestra, sectionSizes } from "./instruments/orchestra.ts";
export type { OrchestraPart, StringSectionSizes } from "./instruments/orchestra.ts";
export type { Confidence, Sourced } from "./instruments/data_table.ts";
export type { FigureSource } from "./instruments/figure_table.ts";
