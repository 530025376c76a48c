/** The tempos that are believed, one range for every door: files, plans, sweeps, sketches and the command line. */

/**
 * Slowest tempo taken, in quarter notes a minute. A MIDI file holds none below 3.58 (its three bytes of
 * microseconds to a quarter note, Standard MIDI Files 1.0), so what is taken can be written in every format.
 */
export const SLOWEST_TEMPO = 4;
/**
 * Fastest tempo taken, in quarter notes a minute: near the 1248 of a dotted whole note at 208, the last figure on
 * a metronome. Model assumption; the open scores that the tests read stay between 31 and 348.
 */
export const FASTEST_TEMPO = 1200;

/** The range in words, for messages. */
export const TEMPO_RANGE = `from ${SLOWEST_TEMPO} to ${FASTEST_TEMPO} quarter notes a minute`;

/** Said of a file's tempo outside the range: it is passed over, and the tempo before it goes on. */
export const TEMPO_NOT_USED = `tempo that is not ${TEMPO_RANGE}: not used, the tempo before it stays`;

/** Whether a tempo is believed. */
export function isTempo(quartersPerMinute: unknown): quartersPerMinute is number {
  return typeof quartersPerMinute === "number" && quartersPerMinute >= SLOWEST_TEMPO &&
    quartersPerMinute <= FASTEST_TEMPO;
}

/** The nearest tempo that every format can hold, where a pause or a rit. would make it slower or quicker. */
export function heldInRange(quartersPerMinute: number): number {
  return Math.min(FASTEST_TEMPO, Math.max(SLOWEST_TEMPO, quartersPerMinute));
}
