/** Remainders that are never negative. */

/** Remainder of a division, from 0 up to the divisor: -1 by 12 leaves 11. */
export function modulo(value: number, divisor: number): number {
  return ((value % divisor) + divisor) % divisor;
}

/** Pitch class of a pitch, 0 for C to 11 for B, below 0 as well; quarter tones go to the nearest semitone. */
export function pitchClassOf(pitch: number): number {
  return modulo(Math.round(pitch), 12);
}
