/**
 * Ripieno: what the secondary parts of an orchestra do, measured and written.
 *
 * The flow, left to right: read a score or a sketch, see what each part is doing, measure momentum, balance,
 * freshness and playability, change a choice, compare, write. This is the front door, with what most scripts need;
 * each room has a door of its own with all it has to give: `ripieno/score`, `/formats`, `/instruments`, `/texture`,
 * `/harmony`, `/hearing`, `/measures`, `/orchestrate`, and `ripieno/show` for charts, reports and notebook cells.
 *
 * @module
 */

// Scores: what is written, pitches, errors
export { InputError } from "./base/errors.ts";
export type { Place } from "./base/errors.ts";
export { pitchName, pitchOf } from "./base/units.ts";
export { unfoldRepeats } from "./score/unfold_repeats.ts";
export type { Note, Part, Score } from "./score/model.ts";

// Formats: files in and out
export { readScore } from "./formats/read_score.ts";
export { readAbc } from "./formats/abc/read_abc.ts";
export { writeMusicXml, writePart } from "./formats/musicxml/write/write_musicxml.ts";
export { writeMidi } from "./formats/midi/write_midi.ts";
export { writeFiles } from "./formats/files/write_files.ts";

// Instruments: what can play
export { allInstruments } from "./instruments/catalogue.ts";
export { instrumentById } from "./instruments/names/instrument_by_id.ts";
export { findInstrument } from "./instruments/names/find_instrument.ts";
export { orchestra } from "./instruments/orchestra.ts";
export { readOrchestra } from "./instruments/names/orchestra_table.ts";
export { capabilities } from "./instruments/capabilities.ts";
export type { OrchestraPart } from "./instruments/orchestra.ts";
export type { Instrument } from "./instruments/catalogue.ts";

// Texture: what each part is doing
export { assignRole } from "./texture/assign_role.ts";
export { recognise, textureOf } from "./texture/recognise/recognise.ts";
export { trackLead } from "./texture/recognise/track_lead.ts";
export { figuresFor } from "./texture/figures.ts";
export type { Layer, RoleCell, Texture } from "./texture/model.ts";
export type { Role } from "./texture/roles.ts";

// Harmony: chords, keys and what stands beside them
export { readHarmony } from "./harmony/read_harmony.ts";
export type { HarmonyReading, HarmonySpan } from "./harmony/harmony_results.ts";

// Measures: momentum, balance, freshness, playability
export { compare, study } from "./measures/compare/compare.ts";
export { momentum } from "./measures/momentum/momentum.ts";
export { balance } from "./measures/balance/balance.ts";
export { freshness } from "./measures/freshness/freshness.ts";
export { playability } from "./measures/playability/playability.ts";
export { attribution } from "./measures/momentum/attribution.ts";
export { effects } from "./measures/compare/effects.ts";
export { sensitivity } from "./measures/compare/sensitivity.ts";
export type { ComparisonRow, Study } from "./measures/compare/study_results.ts";
export type { Momentum } from "./measures/momentum/momentum_results.ts";
export type { Balance, BalanceWarning } from "./measures/balance/balance_results.ts";
export type { Freshness } from "./measures/freshness/freshness_results.ts";
export type { Playability, PlayabilityFinding } from "./measures/playability/playability_results.ts";

// Orchestrating: plans into parts
export { sketchOf } from "./orchestrate/plan/sketch.ts";
export { assign } from "./orchestrate/plan/plan.ts";
export { readPlan, writePlan } from "./orchestrate/plan/plan_table.ts";
export { realise } from "./orchestrate/realise/realise.ts";
export { vary } from "./orchestrate/plan/vary.ts";
export { reharmonise } from "./orchestrate/plan/reharmonise.ts";
export { remedies } from "./orchestrate/remedies/remedies.ts";
export { sweep } from "./orchestrate/sweep/sweep.ts";
export { soundWarnings } from "./orchestrate/remedies/sound_warnings.ts";
export type { Assignment, Passage, Plan } from "./orchestrate/plan/plan.ts";
export type { Sketch } from "./orchestrate/plan/sketch.ts";

// The bundled demo
export { demoPlans, demoScore, demoSketch } from "./demo.ts";
export type { DemoPlans } from "./demo.ts";
