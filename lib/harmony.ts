/**
 * Harmony: chords, keys and non-chord notes read off the notes of a score.
 *
 * @module
 */

export { readHarmony } from "./harmony/read_harmony.ts";
export type { ReadHarmonyOptions } from "./harmony/read_harmony.ts";
export { harmonyTable } from "./harmony/harmony_table.ts";
export type { HarmonyRow } from "./harmony/harmony_table.ts";
export type * from "./harmony/harmony_results.ts";
export { HARMONY_CONSTANTS } from "./harmony/harmony_constants.ts";
