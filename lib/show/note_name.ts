const NAMES = ["C", "C♯", "D", "E♭", "E", "F", "F♯", "G", "A♭", "A", "B♭", "B"] as const;

/**
 * Name of a pitch as players say it, where no spelling is known: F sharp and C sharp, but E flat, A flat and B flat.
 *
 * @param pitch MIDI note number; rounded to the nearest semitone
 * @returns for example `B♭3`; C4 is middle C
 */
export function noteName(pitch: number): string {
  const whole = Math.round(pitch);
  return `${NAMES[((whole % 12) + 12) % 12]}${Math.floor(whole / 12) - 1}`;
}
