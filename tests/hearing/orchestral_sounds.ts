/** Notes and chords for the hearing tests: frequencies and levels, made from a seed, no instrument in particular. */

/** A note as components. */
export interface TestNote {
  /** Frequencies in Hz. */
  readonly hz: Float64Array;
  /** Levels in dB SPL. */
  readonly levels: Float64Array;
}

/**
 * A note with up to 40 harmonics below 15 kHz.
 *
 * @param fundamentalHz fundamental in Hz
 * @param levelDb level of the fundamental in dB SPL
 * @param fallDbPerOctave how fast the harmonics fall
 */
export function harmonicNote(fundamentalHz: number, levelDb: number, fallDbPerOctave: number): TestNote {
  const count = Math.min(40, Math.floor(15000 / fundamentalHz));
  const hz = Float64Array.from({ length: count }, (_, i) => (i + 1) * fundamentalHz);
  return { hz, levels: hz.map((_, i) => levelDb - fallDbPerOctave * Math.log2(i + 1)) };
}

/** Numbers from 0 to 1, always the same for a seed. */
export function seededNumbers(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

/**
 * Chords of 3 to 27 notes over five octaves, 40 to 85 dB each, of bright to dull sound.
 *
 * @param count how many
 * @param seed where the numbers start
 */
export function seededChords(count: number, seed: number): TestNote[][] {
  const next = seededNumbers(seed);
  return Array.from({ length: count }, () =>
    Array.from(
      { length: 3 + Math.floor(next() * 25) },
      () => harmonicNote(50 * 2 ** (next() * 5.2), 40 + next() * 45, 6 + next() * 9),
    ));
}

/** Every component of several notes. */
export function allComponents(notes: readonly TestNote[]): TestNote {
  return {
    hz: Float64Array.from(notes.flatMap((note) => [...note.hz])),
    levels: Float64Array.from(notes.flatMap((note) => [...note.levels])),
  };
}

/** Sum of excitations, filter by filter. */
export function addUp(excitations: readonly Float64Array[], filters: number): Float64Array {
  const sum = new Float64Array(filters);
  for (const excitation of excitations) excitation.forEach((e, c) => sum[c]! += e);
  return sum;
}
