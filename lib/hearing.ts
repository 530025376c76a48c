/**
 * Hearing: numbers in, numbers out. Excitation, loudness, partial loudness, roughness, the standards.
 *
 * @module
 */

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
