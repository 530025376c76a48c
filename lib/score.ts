/**
 * Scores: what is written. The model, musical time, dynamics, repeats; pitches and units; the error that all rooms throw.
 *
 * @module
 */

export { describePlace, InputError } from "./base/errors.ts";
export type { InputErrorDetails, Place } from "./base/errors.ts";
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
export type * from "./score/model.ts";
export { bendTempo, TEMPO_BEND_CONSTANTS } from "./score/bend_tempo.ts";
export type { TempoBendSettings } from "./score/bend_tempo.ts";
export { playingOrder } from "./score/playing_order.ts";
export type { PlayingOrderOptions } from "./score/playing_order.ts";
export { clarinetChoices, clarinetsByKey } from "./score/clarinets.ts";
export type { ClarinetChoice } from "./score/clarinets.ts";
export { seatStrings } from "./score/seat_strings.ts";
export type { StringSizes } from "./score/seat_strings.ts";
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
